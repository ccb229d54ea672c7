import type { AnyEntry } from "../../book/entry.ts";
import type { FromHub, FromTablet } from "../../line/protocol.ts";
import type { LinkState } from "../../ports/hub-link.ts";
import type { Pass } from "../../ports/tablet-store.ts";

/** What the uplink lets a book's own listener do. */
export interface Saying {
  send(frame: FromTablet): void;
  /** Hands in all that waits. */
  sendOutbox(): Promise<void>;
}

/** What a hub says of a book, and not of its line. */
type BookFrame = Exclude<FromHub, { frame: "head" | "hubs" | "bye" | "pong" }>;

/** What only a book of its kind says and hears on the line, beside what any hub says. */
export interface BesideEntries {
  /** The line has come, or is gone. */
  lineIs(state: LinkState): void;
  /** A hub is there again. @returns what is other in the pass by that */
  meets(before: Pass): Promise<Partial<Pass>>;
  /** Whatever says something of the book: behind what the uplink does about it. */
  hears(frame: BookFrame): Promise<void>;
  /** Whether what is written waits for the outbox's turn. */
  holdsBack(): boolean;
  /** Hands in, of all that waits, what may go by now. */
  handIn(
    entries: readonly AnyEntry[],
    append: (entries: readonly AnyEntry[]) => void,
  ): Promise<void>;
  leave(): void;
}
