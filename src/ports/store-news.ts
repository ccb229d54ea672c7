import type { News } from "../line/hub-news.ts";

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
