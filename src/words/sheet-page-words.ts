import type { Line } from "../belt-test/feedback/line.ts";
import type { RetestPart } from "../belt-test/feedback/retest-part.ts";
import type { Sheet } from "../belt-test/feedback/sheet.ts";
import { longDay } from "./dates.ts";
import type sheetWords from "./en/sheet.json";
import { listed } from "./listed.ts";
import type { SayOf } from "./say.ts";

export type SaySheet = SayOf<typeof sheetWords>;

/** A page in words, part by part, as it is printed. */
export interface SheetPageWords {
  result: string;
  gradedOn: string;
  strongHeading: string;
  strong: readonly string[];
  nextHeading: string;
  next: readonly string[];
  task: { heading: string; text: string } | null;
  retest: {
    heading: string;
    kept: string | null;
    repeat: string;
    from: string;
    keptUntil: string | null;
    practise: readonly string[];
  } | null;
}

/** More names than these in one sentence are “and more”. */
const MOST_NAMES = 3;

/** The page of one candidate in words. */
export function sheetPageWords(sheet: Sheet, say: SaySheet): SheetPageWords {
  const { audience, result, to, retest } = sheet;
  const isStrong = sheet.strong.length > 0 && sheet.strong.every(({ kind }) => kind === "strong");
  const outcome = result === "retest" && retest?.scope === "whole" ? "retest-whole" : result;
  return {
    result: say(`result.${outcome}.${audience}`, { rank: to.title, belt: to.belt.name }),
    gradedOn: longDay(sheet.gradedOn, say.locale),
    strongHeading: say(`heading.${isStrong ? "strong" : "met"}.${audience}`),
    strong: strongWords(sheet, say),
    nextHeading: say(`heading.next.${audience}`),
    next: nextWords(sheet, say),
    task:
      sheet.task === null ? null : { heading: say(`heading.task.${audience}`), text: sheet.task },
    retest: retest && retestWords(retest, audience, say),
  };
}

/** Where no line stands because there was nothing good, that is said kindly; a chief's empty choice stays empty. */
function strongWords(sheet: Sheet, say: SaySheet): string[] {
  const { audience, result, strong, found } = sheet;
  if (strong.length > 0) return strong.map((line) => lineWords(line, audience, say));
  if (found.good || result === "withdrawn" || result === "absent") return [];
  return [say(found.short ? `none.strong.${audience}` : `none.seen.${audience}`)];
}

function nextWords(sheet: Sheet, say: SaySheet): string[] {
  const { audience, result, next, found } = sheet;
  if (next.length > 0) return next.map((line) => lineWords(line, audience, say));
  const isAllGood = result === "pass" && found.good && !found.short;
  return isAllGood ? [say(`none.next.${audience}`)] : [];
}

/** One line as one sentence, or a name and the school's own cue. */
export function lineWords(line: Line, audience: Sheet["audience"], say: SaySheet): string {
  const { kind, praise, cue, seen } = line;
  const isChecklist = kind === "done" || kind === "not-done";
  const values = {
    where: listIn(namesOf(line, say, isChecklist), say),
    criterion: (line.criterion ?? "").toLocaleLowerCase(say.locale),
    praise: praise ?? "",
    cue: cue ?? "",
    seen: seen ?? "",
  };
  if (kind === "met-all" || kind === "met" || kind === "done")
    return say(`${kind}.${audience}`, values);
  const hasText = kind === "strong" ? praise !== null : cue !== null;
  if (!hasText) return say(`${kind}-plain.${audience}`, values);
  if (kind === "below" && audience === "adult" && seen !== null)
    return say("below-seen.adult", values);
  return say(`${kind}.${audience}`, values);
}

function retestWords(
  retest: RetestPart,
  audience: Sheet["audience"],
  say: SaySheet,
): NonNullable<SheetPageWords["retest"]> {
  const titles = (sections: readonly { title: string }[]) => ({
    count: sections.length,
    sections: listed(
      sections.map(({ title }) => title),
      say.locale,
    ),
  });
  return {
    heading: say(`heading.retest.${audience}`),
    kept: retest.kept.length > 0 ? say("retest.kept", titles(retest.kept)) : null,
    repeat:
      retest.scope === "whole" ? say("retest.whole") : say("retest.repeat", titles(retest.repeat)),
    from: say(`retest.from.${audience}`, { date: longDay(retest.from, say.locale) }),
    keptUntil:
      retest.keptUntil === null
        ? null
        : say("retest.kept-until", { date: longDay(retest.keptUntil, say.locale) }),
    practise: retest.repeat.map(({ title, practise }) =>
      practise?.practice
        ? say("retest.practise", { section: title, practice: practise.practice })
        : say("retest.ask", { section: title }),
    ),
  };
}

const namesOf = ({ where, group }: Line, say: SaySheet, isQuoted: boolean): string[] =>
  where.map(({ title, side }, index) => {
    const name = isQuoted ? `“${title}”` : index === 0 ? title : insideSentence(title, group, say);
    return side === null ? name : say(`where.${side}`, { title: name });
  });

function listIn(names: readonly string[], say: SaySheet): string {
  return names.length <= MOST_NAMES
    ? listed(names, say.locale)
    : listed([...names.slice(0, MOST_NAMES), say("list.more")], say.locale);
}

/**
 * A title as it stands inside a sentence: “Rising block and low block”, where the catalogue's language writes so.
 * Forms bear names of their own, and so does whatever has a second capital or a letter for a name: Bassai Dai, X-block.
 */
function insideSentence(title: string, group: Line["group"], say: SaySheet) {
  const isName = group === "form" || /^(\p{L}\P{L}|.+\p{Lu})/u.test(title);
  if (isName || say("list.inside") !== "lower") return title;
  return title.slice(0, 1).toLocaleLowerCase(say.locale) + title.slice(1);
}
