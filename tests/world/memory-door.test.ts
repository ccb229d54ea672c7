import { describe } from "vitest";
import { itKeepsTheDoorContract } from "../contracts/door-tables.contract.ts";
import { memoryDoor, noRows } from "./memory-door.ts";

describe("the door's tables of a simulated hub", () => {
  itKeepsTheDoorContract(() => memoryDoor(noRows()));
});
