import type { ChiefsWord } from "../../belt-test/intake/chiefs-word.ts";
import type { Writer } from "../../belt-test/permit/writer.ts";
import type { AnyAuthor } from "../room/handed.ts";

/** Who hands in entries of a belt test. */
export interface Author extends AnyAuthor, Writer {
  /** Of a test that no hub had: what the chief's device took, and what not. */
  chiefsWord?: ChiefsWord | undefined;
  /** Of what is handed in at once: locks after which their judge marked on there. */
  markedOn?: ReadonlySet<string>;
}
