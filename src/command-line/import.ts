import { mkdirSync } from "node:fs";
import { resolve } from "node:path";
import { isSealedWith } from "../belt-test/scorebook/file-seal.ts";
import type { ReadScorebook } from "../belt-test/scorebook/read-scorebook-file.ts";
import { fold } from "../belt-test/scorebook/scorebook.ts";
import type { PersonId } from "../book/identity.ts";
import { headApart } from "../hub/copies/file-break.ts";
import { lostPlansIn } from "../hub/room/lost-plan.ts";
import { takePersonsFile } from "../hub/room/persons-file.ts";
import { checkedHeads } from "../hub/seals/checked-heads.ts";
import { keepHeads } from "../hub/seals/kept-heads.ts";
import { ownBox } from "../hub/seals/own-key.ts";
import { hashOf } from "../hub/seals/secrets.ts";
import { openErasedLog } from "../hub/store/erased-log.ts";
import { noteCopied } from "../hub/store/is-copy.ts";
import type { DeviceRow } from "../ports/door-tables.ts";
import type { Command } from "./command.ts";
import { storeOptions, storePlace, withStore } from "./data-store.ts";
import { fileRemarks, signerAtEnd, verdictRemarks } from "./file-remarks.ts";
import { optionsOf } from "./options.ts";
import { readScorebook } from "./read-scorebook.ts";
import { faultInWords, sayTerminal } from "./say-terminal.ts";
import { takeHubsFile } from "./take-hubs-file.ts";
import { Trouble } from "./trouble.ts";

/** So many refused entries are named one by one. */
const REFUSED_SHOWN = 20;

/**
 * `import FILE`: a scorebook file into a hub's store. A hub's copy whole or not at all; of a tablet's file what its person may write.
 */
export const importCommand: Command = {
  help: "help-import",
  async run(args, { out, folder }) {
    const { values, positionals } = optionsOf(args, {
      ...storeOptions,
      "signed-by": { type: "string" },
      vouch: { type: "boolean" },
    });
    const [name, ...more] = positionals;
    if (name === undefined || more.length > 0) throw new Trouble([{ say: "import-one-file" }]);
    const file = readScorebook(resolve(folder, name));
    const { grading } = file;
    const place = storePlace(values, folder);
    makeFolder(place.dataFolder);
    // A hub at work with the folder numbers its lines by heart and would not see these come in; with a database it reads on.
    return withStore(place, { alone: true, makes: true }, async ({ store, door }) => {
      const erasedBefore = openErasedLog(place.dataFolder).of(grading);
      const key = await door.setting("public-key");
      const own = key === undefined ? "" : hashOf(key);
      const trusted = [own, values["signed-by"]?.toLowerCase()];
      const signer = signerAtEnd(file);
      const isTrusted = file.chain.length > 0 && trusted.includes(signer);
      const atDoor = await door.devices(grading);
      if (!values.vouch && isNobodys(file, atDoor))
        throw new Trouble([
          { say: "import-unvouched", file: name, with: { person: file.person ?? "" } },
        ]);
      const lostPlans = lostPlansIn(door);
      await noteCopied(
        door,
        () => store.gradings(),
        (one) => lostPlans.note(one, true),
      );
      const took = isPersons(file)
        ? await takePersonsFile(store, file, erasedBefore, atDoor, await ownBox(door), lostPlans)
        : await takeHubsFile(store, file, name, { erasedBefore, signer, isTrusted });
      if (!took)
        throw new Trouble([
          { say: "import-stranger", file: name, with: { person: file.person ?? "", grading } },
        ]);
      const heads = await checkedHeads(store, file.heads, own);
      await keepHeads(door, file.heads);
      const { added, known, refused, mended = 0 } = took;
      const counts = { grading, added: added.length, known: known.length, mended };
      const isSigned = !isPersons(file) && file.chain.length > 0;
      const apart = isSigned ? headApart(file) : undefined;
      const verdicts = verdictRemarks(fold(file.entries));
      if (values.json) {
        const left = refused.map(({ id, kind, by, fault: { code } }) => ({ id, kind, by, code }));
        const more = isPersons(file) ? { person: file.person, refused: left } : {};
        out(
          JSON.stringify({
            ...counts,
            signed: isSigned,
            heads,
            ...(apart && { apart }),
            ...(verdicts.length > 0 && { verdicts }),
            ...more,
          }),
        );
        return 0;
      }
      out(sayTerminal("imported", counts));
      if (refused.length > 0) {
        const { person = "" } = file;
        const { length: count } = refused;
        out(
          sayTerminal("import-refused", {
            count,
            person,
            most: REFUSED_SHOWN,
            more: Math.max(0, count - REFUSED_SHOWN),
          }),
        );
        for (const { id, kind, by, fault } of refused.slice(0, REFUSED_SHOWN))
          out(
            `  ${sayTerminal("import-refused-one", { id, kind, by, sentence: faultInWords(fault) })}`,
          );
      }
      if (atDoor.length === 0 && isOfChief(file) && refused.some(({ by }) => by === file.person))
        out(sayTerminal("import-chief-last"));
      if (mended > 0) out(sayTerminal("imported-mended", { count: mended }));
      for (const remark of [...fileRemarks(file), ...verdicts]) out(remark);
      for (const { seq, result } of heads)
        if (result === "rewritten")
          out(sayTerminal("verify-kept-rewritten", { test: grading, seq }));
      return 0;
    });
  },
};

/** What one tablet held, as it says; a hub's own copy names nobody. */
const isPersons = (file: ReadScorebook): file is ReadScorebook & { person: PersonId } =>
  file.person !== undefined;

/** On the road the chief's device had heard what it decided on: a store that heard the others first may read it otherwise. */
const isOfChief = (file: ReadScorebook): boolean =>
  isPersons(file) && fold(file.entries).plan.seat(file.person)?.roles.includes("chief") === true;

/**
 * Whether a tablet's file bears no seal of a tablet that the door knows as its person's: whoever had one in hand may have written it.
 * Where no door knows of the test, nobody could have sealed it.
 */
function isNobodys(
  { person, sealed }: Pick<ReadScorebook, "person" | "sealed">,
  atDoor: readonly DeviceRow[],
): boolean {
  if (person === undefined || atDoor.length === 0) return false;
  // Of a tablet that was shut out, perhaps since it was lost, the seal is whoever's has it now.
  const row = atDoor.find(
    ({ device, state }) => state === "admitted" && device === sealed?.seal.device,
  );
  return !(
    sealed &&
    row?.person === person &&
    isSealedWith(sealed.held, sealed.seal, row.tokenHash)
  );
}

function makeFolder(data: string): void {
  try {
    mkdirSync(data, { recursive: true, mode: 0o700 });
  } catch (cause) {
    const { code = "" } = cause as { code?: string };
    throw new Trouble([{ say: "cannot-write", file: data, with: { detail: code } }]);
  }
}
