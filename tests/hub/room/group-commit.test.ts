import { describe, expect, it } from "vitest";
import { GroupCommit } from "../../../src/hub/room/group-commit.ts";

/** Every job is somebody else's. */
const each = { sourceOf: (job: unknown) => job, weigh: () => 1, share: 1 };

describe("the group commit", () => {
  it("[H16] commits together what comes in together, and answers each its own", async () => {
    const groups: number[][] = [];
    const commits = new GroupCommit<number, number>(async (jobs) => {
      groups.push(jobs);
      return jobs.map((job) => job * 10);
    }, each);
    expect(await Promise.all([1, 2, 3].map((job) => commits.add(job)))).toEqual([10, 20, 30]);
    expect(groups).toEqual([[1, 2, 3]]);
  });

  it("[H100] lets one job's failure cost nobody else an answer", async () => {
    const commits = new GroupCommit<number, number>(async (jobs) => {
      if (jobs.includes(2)) throw new RangeError("cannot be written");
      return jobs.map((job) => job * 10);
    }, each);
    const answers = await Promise.allSettled([1, 2, 3].map((job) => commits.add(job)));
    expect(answers.map((one) => (one.status === "fulfilled" ? one.value : "failed"))).toEqual([
      10,
      "failed",
      30,
    ]);
  });

  it("[H16] answers nobody before the commit is done, and starts no second beside it", async () => {
    const finish: (() => void)[] = [];
    let running = 0;
    let most = 0;
    const commits = new GroupCommit<number, number>(async (jobs) => {
      most = Math.max(most, ++running);
      await new Promise<void>((resolve) => finish.push(resolve));
      running--;
      return jobs;
    }, each);
    const answered: number[] = [];
    const all = [1, 2].map(async (job) => {
      const answer = commits.add(job);
      await new Promise((resolve) => setImmediate(resolve));
      void answer.then((one) => answered.push(one));
      return answer;
    });
    const late = new Promise((resolve) => setTimeout(resolve, 20)).then(() => commits.add(3));
    await new Promise((resolve) => setTimeout(resolve, 40));
    expect(answered).toEqual([]);
    while (finish.length > 0) {
      finish.shift()?.();
      await new Promise((resolve) => setTimeout(resolve, 5));
    }
    expect(await Promise.all([...all, late])).toEqual([1, 2, 3]);
    expect(most).toBe(1);
  });

  it("[H16] tells everybody of a group that failed, and goes on with the next", async () => {
    let isFull = true;
    const commits = new GroupCommit<number, number>(async (jobs) => {
      if (isFull) throw new Error("disk full");
      return jobs;
    }, each);
    const failed = await Promise.allSettled([commits.add(1), commits.add(2)]);
    expect(failed.map(({ status }) => status)).toEqual(["rejected", "rejected"]);
    isFull = false;
    expect(await commits.add(3)).toBe(3);
  });

  it("[H16] takes one share of each source a commit, in that source's order, so that nobody waits for another's day", async () => {
    const groups: string[][] = [];
    const commits = new GroupCommit<string, string>(
      async (jobs) => {
        groups.push(jobs);
        return jobs;
      },
      { sourceOf: ([source]) => source, weigh: (job) => job.length, share: 4 },
    );
    // A holds a whole day; b taps, and taps again during the first commit.
    const day = ["a-1", "a-2", "a--large--", "a-3"].map((job) => commits.add(job));
    const tap = commits.add("b1");
    const more = commits.add("b2");
    void tap.then(() => commits.add("b3"));
    await Promise.all([...day, more]);
    await commits.flush();
    expect(groups).toEqual([["a-1", "b1", "b2"], ["a-2", "b3"], ["a--large--"], ["a-3"]]);
  });
});
