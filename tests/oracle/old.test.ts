import { describe } from "vitest";
import { itSaysTheSame } from "./it-says-the-same.ts";

describe("a day by the first rules", () => itSaysTheSame("old", 6));
