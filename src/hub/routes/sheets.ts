import type { FastifyPluginAsync } from "fastify";
import * as z from "zod/mini";
import { familySheet } from "../../belt-test/feedback/family-sheet.ts";
import { CandidateId } from "../../belt-test/identity.ts";
import { FaultError } from "../../book/faults.ts";
import { GradingId } from "../../book/identity.ts";
import { bearer, checked } from "../door/answers.ts";
import { opensTo } from "../door/doorkeeper.ts";
import type { SheetLinks } from "../door/sheet-links.ts";
import { type TryLimit, withLimit } from "../door/try-limit.ts";
import type { Rooms } from "../room/rooms.ts";
import { shippedLibrary } from "./shipped-library.ts";

const InGrading = z.object({ grading: GradingId });
const OneLink = z.object({
  grading: GradingId,
  link: z.string().check(z.regex(/^[0-9a-f]{64}$/)),
});
const NewLink = z.object({
  candidate: CandidateId,
  /** How long the link opens the sheet. */
  days: z._default(z.int().check(z.gte(1), z.lte(90)), 14),
});

/**
 * Sheets for families. The chief makes, lists and takes back links; whoever holds one reads that sheet and nothing else.
 * The token comes as a Bearer header, since addresses are written down by everything they pass: the page has it behind its #.
 */
export function sheetsRoutes(
  rooms: Rooms,
  links: SheetLinks,
  settings: { addresses: () => string[]; reads: TryLimit },
): FastifyPluginAsync {
  const sheetOf = async (grading: GradingId, candidate: CandidateId) => {
    const room = await rooms.room(grading);
    return familySheet(room.book, candidate, (id) => room.side(id), shippedLibrary());
  };
  return async (hub) => {
    hub.get("/api/gradings/:grading/sheet-links", opensTo("test's chief"), async (request) => {
      const { grading } = checked(InGrading, request.params);
      return { links: await links.of(grading) };
    });
    hub.post("/api/gradings/:grading/sheet-links", opensTo("test's chief"), async (request) => {
      const { grading } = checked(InGrading, request.params);
      const { candidate, days } = checked(NewLink, request.body);
      if (!(await sheetOf(grading, candidate)))
        throw new FaultError({ code: "SHEET_NOT_RELEASED" });
      return { link: await links.make(grading, candidate, days), addresses: settings.addresses() };
    });
    hub.post(
      "/api/gradings/:grading/sheet-links/:link/revoke",
      opensTo("test's chief"),
      async (request) => {
        const { grading, link } = checked(OneLink, request.params);
        await links.revoke(grading, link);
        return { links: await links.of(grading) };
      },
    );

    hub.get("/api/sheet", withLimit("link", settings.reads), async (request) => {
      const { grading, candidate, expiresAtMs } = await links.opened(bearer(request));
      const sheet = await sheetOf(grading, candidate);
      if (!sheet) throw new FaultError({ code: "LINK_WRONG" });
      return { sheet, expiresAtMs };
    });
  };
}
