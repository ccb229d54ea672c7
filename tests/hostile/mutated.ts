import type { Chance } from "../../src/demo/chance.ts";

/** Values that programs trip over: keys that reach a prototype, numbers that are none, texts that are too long or mean something to somebody. */
const nasty: readonly unknown[] = [
  null,
  true,
  -1,
  0,
  0.5,
  1e308,
  -1e308,
  Number.MAX_SAFE_INTEGER + 2,
  "",
  "__proto__",
  "constructor",
  "../../../etc/passwd",
  "=cmd|' /C calc'!A0",
  "\u0000",
  "\u202e\ufeff",
  "\ud800",
  "NaN",
  "a".repeat(5000),
  `${"a".repeat(30)}!`,
  [],
  {},
  [[[[[[[[]]]]]]]],
];
const names = ["__proto__", "constructor", "prototype", "toString", "polluted", "", "é", "extra"];

/** Brackets that V8's reader of JSON takes without trouble, and that break whoever walks them by calling itself. */
const DEEP = `"deep":${"[".repeat(20_000)}${"]".repeat(20_000)}`;

/** The same, and once in a hundred with a value that is far too deep; that one cannot be written as text again. */
export function mutatedDeeply(value: unknown, chance: Chance): unknown {
  const hostile = mutatedJson(value, chance);
  if (chance.share() > 0.01) return hostile;
  const text = JSON.stringify(hostile);
  const objects = [...text.matchAll(/\{/g)].map(({ index }) => index + 1);
  const at = chance.pick(objects);
  if (at === undefined) return hostile;
  return JSON.parse(`${text.slice(0, at)}${DEEP}${text[at] === "}" ? "" : ","}${text.slice(at)}`);
}

/** A copy of a JSON value with one to three things wrong in it. */
export function mutatedJson(value: unknown, chance: Chance): unknown {
  let text = JSON.stringify(value);
  for (let times = 1 + Math.floor(chance.share() * 3); times > 0; times--)
    text = JSON.stringify(mutatedOnce(JSON.parse(text), chance)) ?? "null";
  return JSON.parse(text);
}

function mutatedOnce(root: unknown, chance: Chance): unknown {
  const spot = aSpot(root, chance);
  if (!spot) return chance.pick(nasty);
  const { holder, key } = spot;
  const value = holder[key];
  switch (Math.floor(chance.share() * 8)) {
    case 0:
      if (Array.isArray(holder)) holder.splice(Number(key), 1);
      else delete holder[key];
      break;
    case 1:
      holder[key] = chance.pick(nasty);
      break;
    case 2:
      if (typeof value === "number") holder[key] = value + Math.round(100 * chance.around(1));
      else if (typeof value === "string") holder[key] = mutatedText(value, chance);
      else holder[key] = [value];
      break;
    case 3:
      if (Array.isArray(holder)) holder.push(value);
      // A key of its own even where it is called like a prototype: as JSON.parse makes it.
      else define(holder, chance.pick(names) ?? "extra", chance.pick(nasty));
      break;
    case 4: {
      const other = aSpot(root, chance);
      if (other) holder[key] = structuredClone(other.holder[other.key]);
      break;
    }
    case 5:
      holder[key] = nested(value, 1 + Math.floor(chance.share() * 300));
      break;
    case 6:
      if (Array.isArray(value)) holder[key] = [...value, ...value];
      else holder[key] = { [`${chance.pick(names)}`]: value };
      break;
    default:
      if (typeof value === "object" && value !== null && !Array.isArray(value)) {
        define(value, "__proto__", { polluted: true });
        define(value, "constructor", { prototype: { polluted: true } });
      } else if (typeof value === "number") holder[key] = String(value);
      else holder[key] = typeof value === "string" ? Number(value) : null;
  }
  return root;
}

type Holder = Record<string, unknown>;
const define = (holder: object, key: string, value: unknown): void =>
  void Object.defineProperty(holder, key, {
    value,
    enumerable: true,
    writable: true,
    configurable: true,
  });

/** Some place in the value, deep places as likely as shallow ones. */
function aSpot(root: unknown, chance: Chance): { holder: Holder; key: string } | undefined {
  let holder = root as Holder;
  if (typeof root !== "object" || root === null) return undefined;
  for (let depth = 0; depth < 12; depth++) {
    const key = chance.pick(Object.keys(holder));
    if (key === undefined) return undefined;
    const inside = holder[key];
    const isLeaf =
      typeof inside !== "object" || inside === null || Object.keys(inside).length === 0;
    if (isLeaf || chance.share() < 0.25) return { holder, key };
    holder = inside as Holder;
  }
  return undefined;
}

function nested(value: unknown, depth: number): unknown {
  let inside = value;
  for (let at = 0; at < depth; at++) inside = at % 2 ? [inside] : { inside };
  return inside;
}

const bits = [
  '"',
  "'",
  ",",
  ";",
  "\n",
  "\r",
  "\t",
  "\u0000",
  "\ufeff",
  "{",
  "[",
  "=",
  "\\",
  "é",
  "-1",
  "1e999",
  "NaN",
];

/** A text with something cut out, put in, doubled or turned. */
export function mutatedText(text: string, chance: Chance): string {
  const from = Math.floor(chance.share() * (text.length + 1));
  const to = Math.min(text.length, from + Math.floor(chance.share() * 40));
  switch (Math.floor(chance.share() * 6)) {
    case 0:
      return text.slice(0, from) + text.slice(to);
    case 1:
      return text.slice(0, from) + (chance.pick(bits) ?? "") + text.slice(from);
    case 2:
      return text.slice(0, from);
    case 3:
      return text.slice(0, to) + text.slice(from);
    case 4:
      return (
        text.slice(0, from) +
        String.fromCharCode(Math.floor(chance.share() * 0xffff)) +
        text.slice(from + 1)
      );
    default:
      return (
        text.slice(0, from) +
        text.slice(from, to).repeat(1 + Math.floor(chance.share() * 30)) +
        text.slice(to)
      );
  }
}
