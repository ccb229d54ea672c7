import type { FastifyPluginAsync } from "fastify";
import { familySheet } from "../../belt-test/feedback/family-sheet.ts";
import type { CandidateId } from "../../belt-test/identity.ts";
import { FaultError } from "../../book/faults.ts";
import type { GradingId } from "../../book/identity.ts";
import { doors } from "../../line/doors.ts";
import { bearer } from "../door/answers.ts";
import { atDoor } from "../door/at-door.ts";
import { opensTo } from "../door/doorkeeper.ts";
import type { SheetLinks } from "../door/sheet-links.ts";
import { type TryLimit, withLimit } from "../door/try-limit.ts";
import type { GradingRooms } from "../test-room/grading-rooms.ts";
import { shippedLibrary } from "./shipped-library.ts";

/**
 * Sheets for families. The chief makes, lists and takes back links; whoever holds one reads that sheet and nothing else.
 * The token comes as a Bearer header, since addresses are written down by everything they pass: the page has it behind its #.
 */
export function sheetsRoutes(
  rooms: GradingRooms,
  links: SheetLinks,
  settings: { addresses: () => string[]; reads: TryLimit },
): FastifyPluginAsync {
  const sheetOf = async (grading: GradingId, candidate: CandidateId) => {
    const room = await rooms.room(grading);
    return familySheet(room.book, candidate, (id) => room.side(id), shippedLibrary());
  };
  return async (hub) => {
    const testsChief = opensTo("test's chief");
    atDoor(hub, doors.sheetLinks, testsChief, async ({ grading }) => ({
      links: await links.of(grading),
    }));
    atDoor(hub, doors.makeSheetLink, testsChief, async ({ grading, candidate, days }) => {
      if (!(await sheetOf(grading, candidate)))
        throw new FaultError({ code: "SHEET_NOT_RELEASED" });
      return { link: await links.make(grading, candidate, days), addresses: settings.addresses() };
    });
    atDoor(hub, doors.revokeSheetLink, testsChief, async ({ grading, link }) => {
      await links.revoke(grading, link);
      return { links: await links.of(grading) };
    });
    atDoor(hub, doors.sheet, withLimit("link", settings.reads), async (_, request) => {
      const { grading, candidate, expiresAtMs } = await links.opened(bearer(request));
      const sheet = await sheetOf(grading, candidate);
      if (!sheet) throw new FaultError({ code: "LINK_WRONG" });
      return { sheet, expiresAtMs };
    });
  };
}
