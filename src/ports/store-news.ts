import type { DeviceId, GradingId, PersonId } from "../book/identity.ts";
import type { Floor, Presence } from "../line/protocol.ts";

/** What one hub tells the others on its store. Never what an entry says: that is read from the store. */
export type News =
  | { of: "entries"; grading: GradingId; upTo: number }
  | { of: "door"; grading: GradingId; device: DeviceId }
  | { of: "hubs" }
  | { of: "taken-away" }
  | { of: "floor"; grading: GradingId; floor: Floor }
  | { of: "pace"; grading: GradingId; count: number }
  | { of: "presence"; grading: GradingId; person: Presence }
  | { of: "who-is-here"; grading: GradingId }
  /** Whose further device waits at the door: whichever hub this person is on the line at asks them. */
  | { of: "door-question"; grading: GradingId; person: PersonId; device: DeviceId; name: string }
  | {
      of: "door-answer";
      grading: GradingId;
      person: PersonId;
      /** On which device of theirs they said it. */
      on: DeviceId;
      device: DeviceId;
      yes: boolean;
    }
  /** Told by nobody: the line that news comes by does not answer. It may be slow, or deaf; what must be known at once is looked for meanwhile. */
  | { of: "doubt" };

/**
 * Word from the other hubs on the same store, as quickly as it can be had. It may be lost, and nothing may depend on it:
 * whoever hears nothing asks the store itself now and then.
 */
export interface StoreNews {
  tell(news: News): void;
  /** Hears of others' news only. @returns what ends it. */
  onNews(listener: (news: News) => void): () => void;
  /** Whether news arrives. A hub that is deaf does not know whom another hub has sent out. */
  readonly isHearing: boolean;
  /** Told when that changes. @returns what ends it. */
  onHearing(listener: (isHearing: boolean) => void): () => void;
  close(): Promise<void>;
}

/** For a hub that has its store to itself. */
export const nobodyElse: StoreNews = {
  tell: () => undefined,
  onNews: () => () => undefined,
  isHearing: true,
  onHearing: () => () => undefined,
  close: async () => undefined,
};
