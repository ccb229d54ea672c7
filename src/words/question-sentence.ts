import type { Question } from "../belt-test/verdict/outcome.ts";
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
export function questionSentence(question: Question, names: Names, say: SayQuestion): string {
  const { judges = [], lower = [] } = question;
  const gap = Math.abs(question.gap ?? 0);
  const { halves, points } = halfPoints(gap);
  const section = question.section ? names.section(question.section) : "";
  return say(`question.${question.kind}`, {
    section,
    place: placeWords(question, section, names, say),
    criterion: question.criterion ? names.criterion(question.criterion) : "",
    judges: listed(judges.map(names.judge), say.locale),
    lower: listed(lower.map(names.judge), say.locale),
    lowerCount: lower.length,
    upper: listed(judges.filter((judge) => !lower.includes(judge)).map(names.judge), say.locale),
    gap,
    points: say("points", { halves, points }),
    side: (question.gap ?? 0) < 0 ? "below" : "above",
    cells: question.cells ?? 0,
    others: Math.round(gap),
  });
}

function placeWords(question: Question, section: string, names: Names, say: SayQuestion): string {
  if (!question.section || question.item === undefined) return section;
  if (question.item === null) return say("place.once", { section });
  const item = names.item(question.section, question.item);
  return question.side
    ? say("place.side", { item, section, side: question.side })
    : say("place.item", { item, section });
}

/** What settling a question could do. */
export const effectWords = ({ effect, flips }: Question, say: SayQuestion): string =>
  say(flips ? "effect.flips" : effect === "could-change" ? "effect.sections" : "effect.none");
