import type { WebSocket } from "@fastify/websocket";
import type { Role } from "../../../src/belt-test/kinds/body-parts.ts";
import type { DeviceId, PersonId } from "../../../src/book/identity.ts";
import { Line } from "../../../src/hub/hall/line.ts";
import { GradingRoom } from "../../../src/hub/test-room/grading-room.ts";
import { openMemoryScorebook } from "../../builders/memory-scorebook.ts";
import { atOnce } from "../../world/lying-hall.ts";
import type { OracleBook, Seated } from "../oracle-book.ts";
import type { Views } from "../views.ts";
import type { ReadBook } from "./read-book.ts";

/** Roles that somebody may be let in with who has no seat in the book; several at once see the less. */
const STRANGERS: readonly (readonly Role[])[] = [
  ["judge"],
  ["chief", "judge"],
  ["judge", "caller"],
  ["caller", "desk"],
];

/** Everything that a hub sends to each device that comes in new when the book stands as it does: every frame, to the byte. */
export async function feedViews(
  { file: { grading, chain = [] }, people, isUnfinished }: OracleBook,
  { entries, sides }: ReadBook,
): Promise<Views> {
  const salts = chain.map(({ salt }) => salt).reverse();
  const store = openMemoryScorebook(() => salts.pop() ?? "0".repeat(32));
  await store.append(grading, entries, [...sides.values()]);
  const room = await GradingRoom.open(grading, store, "hub", { clock: atOnce });
  // While a test goes on they are sent least of what there is.
  const strangers = (isUnfinished ? STRANGERS : []).map(
    (roles): Seated => ({ person: `new-${roles.join("-")}` as PersonId, roles }),
  );
  const feeds: Views = {};
  for (const { person, roles } of [...people, ...strangers]) {
    const frames: string[] = [];
    const who = { grading, device: `${person}-tablet-1` as DeviceId, person, roles };
    new Line(socketInto(frames), room, who, { feed: undefined, cursor: 0 });
    feeds[`feed of ${person} (${roles.join(", ")})`] = frames.join("\n");
  }
  return feeds;
}

/** A socket that is always open and never full. */
function socketInto(frames: string[]): WebSocket {
  const socket = {
    OPEN: 1,
    readyState: 1,
    bufferedAmount: 0,
    send: (text: string) => void frames.push(text),
  };
  return socket as unknown as WebSocket;
}
