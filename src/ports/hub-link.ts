import type { FromHub, FromTablet } from "../line/protocol.ts";

/** `live`: the hub hears us. `away`: trying again. `closed`: for good, by us or by the hub's last word. */
export type LinkState = "live" | "away" | "closed";

/** A line to the hub that mends itself. Frames sent while it is away are dropped: whoever sends keeps what matters. */
export interface HubLink {
  send(frame: FromTablet): void;
  /** Hangs up and comes back by itself: what was heard could not be kept. */
  again(): void;
  close(): void;
}
/** Opens a line; `onState("live")` comes once per connection, before any frame of it. */
export type OpenHubLink = (listener: {
  onFrame: (frame: FromHub) => void;
  onState: (state: LinkState) => void;
}) => HubLink;
