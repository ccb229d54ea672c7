import type { Fault } from "../../book/faults.ts";
import type { DeviceId } from "../../book/identity.ts";
import type {
  Coverage,
  DevicePresence,
  DoneCall,
  DoorQuestion,
  Shout,
  Waiting,
} from "../../line/protocol.ts";

/** What is said between hub and tablet beside entries: heard, shown, forgotten. */
export interface HallNews {
  coverage: ReadonlyMap<string, Coverage>;
  calls: ReadonlyMap<string, DoneCall>;
  presence: readonly DevicePresence[];
  waiting: readonly Waiting[];
  /** Further devices at the door of which this person is asked whether they are theirs. */
  doorQuestions: readonly DoorQuestion[];
  /** Those of which this person said that they are. */
  saidTheirs?: readonly DeviceId[];
  /** The count on the floor of the current call; 0 before the first. */
  count: number;
  /** What was shouted of the floor, before it was kept; see floor.ts. */
  floors: readonly Shout[];
  /** What is wrong with this test on the hub's disk, as the hub told its chief. */
  damage?: Fault | undefined;
}

export const NO_NEWS: HallNews = {
  coverage: new Map(),
  calls: new Map(),
  presence: [],
  waiting: [],
  doorQuestions: [],
  count: 0,
  floors: [],
};
