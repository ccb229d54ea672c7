import type { HandIn } from "./lying-hall.ts";

interface Where {
  judge: string;
  candidate: string;
  section: string;
}

/** The same hand-in, but for what one judge says of one child's section: the best level for the worst, one fault for another. */
export function otherLevels(handIn: HandIn, where: Where): HandIn {
  return { ...handIn, entries: handIn.entries.map((entry) => otherwise(entry, where)) };
}

function otherwise(json: unknown, { judge, candidate, section }: Where): unknown {
  if (typeof json !== "object" || json === null) return json;
  const entry = json as { by?: unknown; kind?: unknown; body?: Record<string, unknown> };
  const { body, kind } = entry;
  if (entry.by !== judge || typeof body !== "object" || body.section !== section) return json;
  if (kind === "mark" && Array.isArray(body.cells)) {
    const cells = body.cells.map((cell) =>
      cell?.candidate === candidate && typeof cell.level === "number"
        ? { ...cell, level: exchanged(cell.level, section === "etiquette" ? 2 : 4) }
        : cell,
    );
    return { ...entry, body: { ...body, cells } };
  }
  if (body.candidate !== candidate) return json;
  if (kind === "overall" && typeof body.judgement === "number")
    return { ...entry, body: { ...body, judgement: exchanged(body.judgement, 4) } };
  if (kind === "faults" && Array.isArray(body.faults))
    return { ...entry, body: { ...body, faults: body.faults.map(() => "other-fault") } };
  return json;
}

const exchanged = (level: number, highest: number): number =>
  Number.isInteger(level) && level >= 1 && level <= highest ? highest + 1 - level : level;
