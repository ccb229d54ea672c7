import { describe } from "vitest";
import { itSaysTheSame } from "./it-says-the-same.ts";

describe("a day with somebody in the hall who lies", () => itSaysTheSame("lying", 66));
