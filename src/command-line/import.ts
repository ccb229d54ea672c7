import { mkdirSync } from "node:fs";
import { resolve } from "node:path";
import { type ChiefsWord, chiefsWord, openerIn } from "../belt-test/intake/chiefs-word.ts";
import { onOneDevice } from "../belt-test/intake/one-device.ts";
import { fold } from "../belt-test/scorebook/scorebook.ts";
import type { EntryId } from "../book/identity.ts";
import { NOW } from "../book/order.ts";
import { orderedText } from "../book/ordered-text.ts";
import type { OpenStore } from "../hub/store/store-home.ts";
import type { Command } from "./command.ts";
import { storeHome, storeOptions, withStore } from "./data-store.ts";
import { optionsOf } from "./options.ts";
import { readScorebook } from "./read-scorebook.ts";
import { importedJson, importedWords } from "./say-imported.ts";
import {
  type Given,
  isPersons,
  type Only,
  ownAmong,
  refuseNobodys,
  type Taken,
  type Taking,
  takeFile,
  togetherWith,
} from "./take-file.ts";
import { takeByHub, takeTogether } from "./take-in-turn.ts";
import { Trouble } from "./trouble.ts";

/**
 * `import FILE …`: scorebook files into a hub's store. A hub's copy whole or not at all; of a tablet's file what its person may write.
 */
export const importCommand: Command = {
  help: "help-import",
  async run(args, { out, folder }) {
    const { values, positionals } = optionsOf(args, {
      ...storeOptions,
      "signed-by": { type: "string" },
      vouch: { type: "boolean" },
    });
    if (positionals.length === 0) throw new Trouble([{ say: "import-no-file" }]);
    const files = positionals
      .map((name) => ({ name, file: readScorebook(resolve(folder, name)) }))
      .map((given) => ({ given, turn: turnOf(given) }))
      .sort((a, b) => a.turn - b.turn)
      .map(({ given }) => given);
    const other = files.find(({ file }) => file.grading !== files[0]?.file.grading);
    if (other) throw new Trouble([{ say: "import-several-tests", file: other.name }]);
    const word = wordIn(files);
    refuseOneDeviceOfTwo(files, word);
    const home = storeHome(values, folder);
    makeFolder(home.dataFolder);
    // A hub at work with the folder numbers its lines by heart and would not see these come in; with a database it reads on.
    return withStore(home, { alone: true, makes: true }, async (opened) => {
      if (!values.vouch) await refuseNobodys(opened.door, files);
      const taken = new Map<Given, Taken>();
      const troubles = new Map<Given, Trouble>();
      const take = async (given: Given, some: Pick<Taking, "word" | "only">) => {
        let now: Taken;
        try {
          const signedBy = values["signed-by"];
          now = await takeFile(opened, given, { signedBy, dataFolder: home.dataFolder, ...some });
        } catch (error) {
          if (!(error instanceof Trouble)) throw error;
          // The others are taken all the same: one of them may bring what this one rests on.
          troubles.set(given, error);
          return { added: 0, waiting: 1 };
        }
        troubles.delete(given);
        taken.set(given, togetherWith(taken.get(given), now));
        return { added: now.added.length, waiting: ownAmong(given.file, now.refused).length };
      };
      const chiefs = word && (await ofHub(opened, files, word));
      if (chiefs) {
        const steps = { isBefore: chiefs.isBefore, had: word.took };
        await takeByHub(files, chiefs.given, steps, (one, only) => take(one, { only }));
      } else await takeTogether(files, word, (one, said) => take(one, { word: said }));
      // What one file has of others, theirs have brought meanwhile; but under one id two files may say two things.
      const texts = new Map(files.map((given) => [given, textsOf(given)]));
      const here = new Set(
        [...taken].flatMap(([given, { added, known }]) =>
          [...added, ...known].map((id) => texts.get(given)?.get(id)),
        ),
      );
      for (const [given, last] of taken) {
        const refused = last.refused.filter(({ id }) => !here.has(texts.get(given)?.get(id)));
        const took = { ...last, refused };
        if (files.length > 1 && !values.json) out(given.name);
        const said = values.json
          ? [importedJson(given, took)]
          : importedWords(given, took, files.length === 1);
        for (const line of said) out(line);
      }
      const wrong = [...troubles.values()].flatMap(({ complaints }) => complaints);
      if (wrong.length > 0) throw new Trouble(wrong);
      return 0;
    });
  },
};

/**
 * The chief's own file among those of a test that this store has a hub's door for, and what its device wrote before it had any line of others that the hub lacks.
 * @returns undefined for a test that no hub here knows
 */
async function ofHub(
  { store, door }: OpenStore,
  files: readonly Given[],
  word: ChiefsWord,
): Promise<{ given: Given; isBefore: Only } | undefined> {
  const given = files.find(({ file }) => isPersons(file) && file.person === word.person);
  if (!given || (await door.devices(given.file.grading)).length === 0) return undefined;
  const { filesSince } = given.file;
  if (filesSince !== undefined) return { given, isBefore: ({ lamport }) => lamport <= filesSince };
  const here = new Set((await store.read(given.file.grading, 0)).map(({ entry }) => entry.id));
  const first = given.file.entries.reduce(
    (least, { id, by, lamport }) =>
      by === word.person || here.has(id) ? least : Math.min(least, lamport),
    NOW,
  );
  return { given, isBefore: ({ lamport }) => lamport < first };
}

/** What each line says, as the file has it. */
const textsOf = ({ file }: Given): Map<EntryId, string> =>
  new Map(file.entries.map((entry) => [entry.id, orderedText(entry)]));

/** What the chief's device took of a test that no hub had. A file says itself whose it is: of two that say to be of that device one may be somebody else's. */
function wordIn(files: readonly Given[]): ChiefsWord | undefined {
  const claims = files.flatMap(({ name, file }) => {
    const word = chiefsWord(file);
    return word ? [{ name, word }] : [];
  });
  const [first, other] = claims;
  if (first && other)
    throw new Trouble([
      { say: "import-two-chiefs", file: other.name, with: { other: first.name } },
    ]);
  return first?.word;
}

function refuseOneDeviceOfTwo(files: readonly Given[], word: ChiefsWord | undefined): void {
  const nameOf = new Map(files.map(({ name, file }) => [file, name]));
  const [clash] = onOneDevice(fold([]), [...nameOf.keys()], word);
  if (clash)
    throw new Trouble([
      {
        say: "import-one-device",
        file: nameOf.get(clash.file) ?? "",
        with: { other: nameOf.get(clash.other) ?? "", device: clash.device },
      },
    ]);
}

/** That of whoever opened the test comes first, then other chiefs': all others write by what they say of the plan. */
function turnOf({ file }: Given): number {
  if (!isPersons(file)) return 2;
  if (openerIn(file.entries) === file.person) return 0;
  return fold(file.entries).plan.seat(file.person)?.roles.includes("chief") ? 1 : 2;
}

function makeFolder(data: string): void {
  try {
    mkdirSync(data, { recursive: true, mode: 0o700 });
  } catch (cause) {
    const { code = "" } = cause as { code?: string };
    throw new Trouble([{ say: "cannot-write", file: data, with: { detail: code } }]);
  }
}
