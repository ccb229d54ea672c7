import { describe } from "vitest";
import { itSaysTheSame } from "./it-says-the-same.ts";

describe("a day that goes awry", () => itSaysTheSame("awry", 67));
