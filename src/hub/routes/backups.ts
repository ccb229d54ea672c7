import { rmSync } from "node:fs";
import { basename, dirname } from "node:path";
import { Readable } from "node:stream";
import type { FastifyPluginAsync } from "fastify";
import { FaultError } from "../../book/faults.ts";
import type { BackupState } from "../../line/doors.ts";
import { copyDoors, doors } from "../../line/doors.ts";
import type { ScorebookStore } from "../../ports/scorebook-store.ts";
import type { Backups } from "../copies/backups.ts";
import { type BringBack, receiveCopy } from "../copies/brought-back.ts";
import { copiesAhead } from "../copies/copy-ahead.ts";
import { atDoor } from "../door/at-door.ts";
import { opensTo } from "../door/doorkeeper.ts";
import { testWithClosedMarks } from "../test-room/closed-marks.ts";
import type { GradingRooms } from "../test-room/grading-rooms.ts";

/** The copies of this hub, for its chief alone: how they stand, one more now, the newest to take away; and one to begin from, where it holds nothing yet. */
export function backupsRoutes(
  backups: Backups | undefined,
  {
    store,
    rooms,
    bringBack,
  }: { store: ScorebookStore; rooms: GradingRooms; bringBack: BringBack | undefined },
): FastifyPluginAsync {
  return async (hub) => {
    // Not read before somebody has looked who sends it.
    hub.addContentTypeParser("application/vnd.sqlite3", (_request, sent, done) => done(null, sent));
    const chiefOnly = opensTo("hub's chief");
    let isReceiving = false;
    const state = async () => ({ backups: backups ? inRound(await backups.state()) : null });

    atDoor(hub, doors.backups, chiefOnly, () => state());
    atDoor(hub, doors.backUp, chiefOnly, async () => {
      await backups?.now();
      return state();
    });
    hub.post(copyDoors.bringBack.path, chiefOnly, async (request, reply) => {
      const refused = (why: string) => new FaultError({ code: "COPY_NOT_HERE", with: { why } });
      if ((await store.gradings()).length > 0) throw refused("used");
      if (!bringBack) throw refused("other");
      if (!(request.body instanceof Readable)) throw new FaultError({ code: "COPY_UNSOUND" });
      // One at a time: they would write over each other.
      if (isReceiving) throw refused("used");
      isReceiving = true;
      const { file, ...found } = await receiveCopy(request.body, bringBack.folder).finally(() => {
        isReceiving = false;
      });
      // Somebody may have begun a test meanwhile, and nothing that was kept is put aside for a copy.
      if ((await store.gradings()).length > 0) {
        rmSync(file, { force: true });
        throw refused("used");
      }
      // The answer is out before the hub closes.
      reply.raw.once("finish", () => bringBack.onSound(file));
      return found;
    });
    hub.get(copyDoors.newest.path, chiefOnly, async (_request, reply) => {
      const newest = await backups?.newest();
      if (!backups || !newest)
        throw new FaultError({ code: "FILE_MISSING", with: { file: "backup" } });
      const { file } = newest;
      // A copy from before the store was put back holds marks of which nothing lies here, closed or open; of one that cannot be read nobody knows.
      const { ahead, unread } = await backups.answered(copiesAhead([file], store, backups.disk));
      const isSealed = ahead.length + unread.length > 0;
      const closed = isSealed ? { title: basename(file) } : await testWithClosedMarks(store, rooms);
      if (closed) {
        const { title = "" } = closed;
        throw new FaultError({ code: "COPY_SEALED", with: { title, folder: dirname(file) } });
      }
      return reply
        .header("cache-control", "no-store")
        .header("content-disposition", `attachment; filename="${basename(file)}"`)
        .type("application/vnd.sqlite3")
        .send(Readable.from(partsOf(backups, file), { objectMode: false }));
    });
  };
}

const PART_BYTES = 256 * 1024;
async function* partsOf(backups: Backups, file: string): AsyncGenerator<Buffer> {
  for (let from = 0; ; ) {
    const part = await backups.answered(backups.disk.read(file, from, PART_BYTES));
    if (part.length === 0) return;
    from += part.length;
    yield Buffer.from(part);
  }
}

/** Bytes. A database grows by the page, and by how much would tell how many marks have come. */
const ROUND_BYTES = 100_000;
/** Of a copy that is ahead: where only judges marked since the store that was put back, its entries are their closed taps. */
const ROUND_ENTRIES = 100;
const roundedUp = (count: number, to: number) => Math.ceil(count / to) * to;
const inRound = (state: BackupState): BackupState => ({
  ...state,
  kept: state.kept.map((one) => ({
    ...one,
    bytes: roundedUp(one.bytes, ROUND_BYTES),
  })),
  ahead: state.ahead && {
    ...state.ahead,
    with: {
      ...state.ahead.with,
      count: roundedUp(Number(state.ahead.with?.count ?? 0), ROUND_ENTRIES),
    },
  },
});
