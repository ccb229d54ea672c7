import type { CandidateId } from "../../../belt-test/identity.ts";
import type { BoardColumn, BoardRow, Scale } from "../../parts/line/board-data.ts";

// Every child, number and call in this gallery is invented.
const yellow = { name: "yellow", colour: "#f2c230" };
const orange = { name: "orange", colour: "#e8842c" };
const green = { name: "green", colour: "#2f8a4c", tip: "#1a1a1a" };

const child = (number: number, given: string, belt: BoardColumn["belt"]): BoardColumn => ({
  candidate: `c${number}` as CandidateId,
  number,
  given,
  belt,
});

export const six: readonly BoardColumn[] = [
  child(14, "Mia", yellow),
  child(15, "Jonas", yellow),
  child(16, "Aiko", orange),
  child(17, "Ben", orange),
  child(18, "Leyla", green),
  child(19, "Tomas", green),
];
export const three = six.slice(0, 3);
export const longNames: readonly BoardColumn[] = [
  child(114, "Maximiliana", green),
  child(115, "Bartholomew-Jean", yellow),
  child(116, "Wilhelmina", orange),
];

const row = (criterion: string, title: string, asked = true): BoardRow<string> => ({
  criterion,
  title,
  asked,
});
export const fiveRows = [
  row("stance", "Stance"),
  row("chamber", "Chamber"),
  row("extension", "Extension"),
  row("target", "Target"),
  row("spirit", "Spirit"),
];
export const threeAsked = fiveRows.map((each) => ({
  ...each,
  asked: !["stance", "spirit"].includes(each.criterion),
}));
export const overallRow = [row("overall", "Overall")];
export const onceRows = [row("stance", "Stance"), row("spirit", "Spirit")];
export const listRows = [
  row("bow", "Bows in without being told"),
  row("belt", "Ties the belt alone"),
  row("count", "Counts to ten in Japanese"),
  row("rules", "Names three rules of the hall"),
  row("block", "Says what a rising block is for"),
  row("safe", "Says when to tap"),
];

export const four: Scale = { levels: ["Not yet", "Nearly", "Meets", "Strong"], meetsLevel: 3 };
export const five: Scale = {
  levels: ["Unsafe", "Not yet", "Nearly", "Meets", "Strong"],
  meetsLevel: 4,
};
export const seven: Scale = { levels: ["1", "2", "3", "4", "5", "6", "7"], meetsLevel: 4 };
export const two: Scale = { levels: ["Not yet", "Meets"], meetsLevel: 2 };
export const faults = ["Stops short", "Over-locks", "Shoulder lifts", "Fist bends"];
