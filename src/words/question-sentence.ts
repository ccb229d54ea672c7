import type { Flag } from "../belt-test/verdict/outcome.ts";
import type questionsWords from "./en/questions.json";
import { halfPoints } from "./half-points.ts";
import { listed } from "./listed.ts";
import type { SayOf } from "./say.ts";

type SayQuestion = SayOf<typeof questionsWords>;

/** How this screen or page calls what a question speaks of. */
export interface Names {
  section: (id: string) => string;
  item: (section: string, id: string) => string;
  criterion: (id: string) => string;
  judge: (id: string) => string;
}

/** One question as a sentence. */
export function questionSentence(flag: Flag, names: Names, say: SayQuestion): string {
  const { judges = [], lower = [] } = flag;
  const gap = Math.abs(flag.gap ?? 0);
  const { halves, points } = halfPoints(gap);
  const section = flag.section ? names.section(flag.section) : "";
  return say(`question.${flag.kind}`, {
    section,
    place: placeWords(flag, section, names, say),
    criterion: flag.criterion ? names.criterion(flag.criterion) : "",
    judges: listed(judges.map(names.judge), say.locale),
    lower: listed(lower.map(names.judge), say.locale),
    lowerCount: lower.length,
    upper: listed(judges.filter((judge) => !lower.includes(judge)).map(names.judge), say.locale),
    gap,
    points: say("points", { halves, points }),
    side: (flag.gap ?? 0) < 0 ? "below" : "above",
    cells: flag.cells ?? 0,
    others: Math.round(gap),
  });
}

function placeWords(flag: Flag, section: string, names: Names, say: SayQuestion): string {
  if (!flag.section || flag.item === undefined) return section;
  if (flag.item === null) return say("place.once", { section });
  const item = names.item(flag.section, flag.item);
  return flag.side
    ? say("place.side", { item, section, side: flag.side })
    : say("place.item", { item, section });
}

/** What settling a question could do. */
export const effectWords = ({ effect, flips }: Flag, say: SayQuestion): string =>
  say(flips ? "effect.flips" : effect === "could-change" ? "effect.sections" : "effect.none");
