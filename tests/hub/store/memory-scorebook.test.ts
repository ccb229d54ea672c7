import { describe } from "vitest";
import { openMemoryScorebook } from "../../builders/memory-scorebook.ts";
import { itKeepsTheScorebookContract } from "../../contracts/scorebook-store.contract.ts";
import { itKeepsTheSharedScorebookContract } from "../../contracts/shared-scorebook.contract.ts";

describe("the memory scorebook", () => {
  itKeepsTheScorebookContract(() => openMemoryScorebook());
  itKeepsTheSharedScorebookContract(() => openMemoryScorebook());
});
