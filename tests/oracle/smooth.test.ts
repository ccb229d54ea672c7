import { describe } from "vitest";
import { itSaysTheSame } from "./it-says-the-same.ts";

describe("a smooth day", () => itSaysTheSame("smooth", 67, 3));
