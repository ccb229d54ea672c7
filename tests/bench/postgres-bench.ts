import { mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import type { ScorebookFile } from "../../src/belt-test/scorebook/scorebook-file.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId, GradingId, PersonId } from "../../src/book/identity.ts";
import { type RunningHub, startHub } from "../../src/hub/main.ts";
import { openPostgres } from "../../src/hub/store/postgres-database.ts";
import { postgresScorebook, scorebookTables } from "../../src/hub/store/postgres-scorebook.ts";
import { GradingRoom } from "../../src/hub/test-room/grading-room.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import { AHubProcess } from "../builders/a-hub-process.ts";
import { APostgres } from "../builders/a-postgres.ts";
import { ATablet } from "../builders/a-tablet.ts";
import { aMark, aTestDay, type TestDay } from "../builders/a-test-day.ts";
import { ASender } from "../soak/a-sender.ts";
import { type Measured, median, percentile } from "./measure.ts";

const GRADINGS = 8;
const JUDGES = 2;
const MARKS = 400;
const ROUNDS = 3;
const COPIES = 10;
const example = fileURLToPath(new URL("../../demo-data/finished-test.json", import.meta.url));
/** At pace: every judge of every test so many a second, for so long. */
const PACE = { aSecond: 4, seconds: 8 };

interface Test {
  grading: GradingId;
  day: TestDay;
  /** Tokens by person. */
  who: Map<string, { token: string; grading: GradingId; device: DeviceId }>;
}
interface Passed {
  entriesASecond: number;
  hubUsAnEntry: number;
}
interface Paced {
  ackMs: number[];
  /** Handed in at one hub, told to the chief at the other. */
  acrossMs: number[];
}

/** Two hubs on one PostgreSQL beside one: how much faster over many tests, how much slower a mark. */
export async function benchPostgres(): Promise<Measured[]> {
  const server = await APostgres.start();
  const folder = mkdtempSync(join(tmpdir(), "evenhand-bench-"));
  try {
    const one: Passed[] = [];
    const two: Passed[] = [];
    const paced: { one: Paced; two: Paced }[] = [];
    for (let round = 0; round < ROUNDS; round++) {
      one.push(await throughput(await server.database(`one_${round}`), folder, 1));
      two.push(await throughput(await server.database(`two_${round}`), folder, 2));
      paced.push({
        one: await atPace(await server.database(`calm_one_${round}`), folder, 1),
        two: await atPace(await server.database(`calm_two_${round}`), folder, 2),
      });
    }
    const cost = await costOfTheExample(server);
    const of = (all: Passed[], what: keyof Passed) => median(all.map((passed) => passed[what]));
    const ack = (hubs: "one" | "two", share: number) =>
      median(paced.map((both) => percentile(both[hubs].ackMs, share)));
    const across = (hubs: "one" | "two", share: number) =>
      median(paced.map((both) => percentile(both[hubs].acrossMs, share)));
    const how = `${GRADINGS} tests × ${JUDGES} judges × ${MARKS} marks; hubs, PostgreSQL and senders share this machine's cores; median of ${ROUNDS}`;
    const calm = `${GRADINGS * JUDGES * PACE.aSecond} marks a second over ${GRADINGS} tests`;
    return [
      {
        what: "PostgreSQL: one hub's entries a second ÷ two hubs'",
        value: median(
          one.map((_, at) => (one[at]?.entriesASecond ?? 0) / (two[at]?.entriesASecond ?? 0)),
        ),
        unit: "×",
        goal: 1 / 1.6,
        how,
      },
      {
        what: "PostgreSQL: entries a second, one hub",
        value: of(one, "entriesASecond"),
        unit: "/s",
        how,
      },
      {
        what: "PostgreSQL: entries a second, two hubs",
        value: of(two, "entriesASecond"),
        unit: "/s",
        how,
      },
      {
        what: "PostgreSQL: processor of a hub, an entry",
        value: of(two, "hubUsAnEntry"),
        unit: "µs",
        how,
      },
      {
        what: "mark → acknowledged (median), two hubs ÷ one",
        value: ack("two", 0.5) / ack("one", 0.5),
        unit: "×",
        goal: 1.5,
        how: `${ack("two", 0.5).toFixed(1)} against ${ack("one", 0.5).toFixed(1)} ms; ${calm}`,
      },
      {
        what: "mark → acknowledged (p99), two hubs ÷ one",
        value: ack("two", 0.99) / ack("one", 0.99),
        unit: "×",
        goal: 1.5,
        how: `${ack("two", 0.99).toFixed(1)} against ${ack("one", 0.99).toFixed(1)} ms`,
      },
      {
        what: "mark at one hub → chief at the other (median)",
        value: across("two", 0.5),
        unit: "ms",
        goal: 50,
        how: `same hub: ${across("one", 0.5).toFixed(1)} ms; ${calm}`,
      },
      {
        what: "mark at one hub → chief at the other (p95)",
        value: across("two", 0.95),
        unit: "ms",
        goal: 50,
        how: `same hub: ${across("one", 0.95).toFixed(1)} ms`,
      },
      ...cost,
    ];
  } finally {
    await server.stop();
    rmSync(folder, { recursive: true, force: true });
  }
}

/** What the example test takes in the database, and how long a hub needs to open it. */
async function costOfTheExample(server: APostgres): Promise<Measured[]> {
  const { entries, sides } = JSON.parse(readFileSync(example, "utf8")) as Pick<
    ScorebookFile,
    "entries" | "sides"
  >;
  const database = await openPostgres(await server.database("cost"), scorebookTables(testBooks));
  try {
    const book = postgresScorebook(database, testBooks);
    const ask = async (sql: string) => Number((await database.pool.query(sql)).rows[0]?.value);
    const logged = () => ask("SELECT pg_current_wal_lsn() - '0/0' AS value");
    const [before, processorBefore] = [await logged(), processorOf(server)];
    const gradings = Array.from({ length: COPIES }, (_, at) => `example-${at}` as GradingId);
    for (const grading of gradings)
      for (let start = 0; start < entries.length; start += 100) {
        const lines = entries
          .slice(start, start + 100)
          .map((entry) => ({ ...(entry as object), grading }));
        const records = start === 0 ? sides.map((side) => ({ ...side, grading })) : [];
        await book.append(grading, lines as AnyEntry[], records);
      }
    const log = (await logged()) - before;
    const processor = processorOf(server) - processorBefore;
    await database.pool.query("VACUUM ANALYZE");
    const rows = COPIES * entries.length;
    const whole = await ask("SELECT pg_total_relation_size('entries') AS value");
    const indexes = await ask("SELECT pg_indexes_size('entries') AS value");
    const openings = [];
    for (const grading of gradings) {
      const begun = performance.now();
      await GradingRoom.open(grading, book, "hub");
      openings.push(performance.now() - begun);
    }
    const how = `the example test ${COPIES} times, 100 entries a commit`;
    return [
      {
        what: "PostgreSQL: entries of the example test",
        value: entries.length,
        unit: "",
        how: `${sides.length} side records`,
      },
      {
        what: "PostgreSQL: table and indexes, an entry",
        value: whole / rows,
        unit: "B",
        how: `${Math.round(indexes / rows)} of them indexes; ${how}`,
      },
      { what: "PostgreSQL: write-ahead log, an entry", value: log / rows, unit: "B", how },
      {
        what: "PostgreSQL: processor of the database, an entry",
        value: (processor * 1000) / rows,
        unit: "µs",
        how,
      },
      {
        what: "PostgreSQL: a hub opens the example test (median)",
        value: median(openings),
        unit: "ms",
        how,
      },
    ];
  } finally {
    await database.close();
  }
}

/** Every test planned and everybody let in; no hub is running afterwards. */
async function planned(store: string, folder: string): Promise<Test[]> {
  const hub = await startHub({ port: 0, host: "127.0.0.1", dataFolder: folder, store });
  try {
    const tests: Test[] = [];
    for (let at = 0; at < GRADINGS; at++)
      tests.push(await aTest(hub, `grading-${at}` as GradingId));
    return tests;
  } finally {
    await hub.close();
  }
}
async function aTest({ desk, rooms }: RunningHub, grading: GradingId): Promise<Test> {
  const day = aTestDay({ judges: JUDGES, candidates: 12, grading });
  const maker = "maker" as DeviceId;
  await desk.makeGrading((await desk.makeChief(maker)).token, grading, maker);
  const who: Test["who"] = new Map();
  for (const person of ["chief", ...day.judges.map((judge) => judge.person)]) {
    const device = `${person}-tablet` as DeviceId;
    const role = person === "chief" ? ("chief" as const) : ("judge" as const);
    const as = { name: person, person: person as PersonId, roles: [role] as const };
    who.set(person, { ...(await desk.letIn(grading, device, as)), grading, device });
  }
  const author = {
    person: "chief" as PersonId,
    roles: ["chief"] as const,
    device: "chief-tablet" as DeviceId,
  };
  await (await rooms.room(grading)).handIn(author, day.plan);
  for (const { pen } of day.judges) pen.hear(day.plan.length);
  return { grading, day, who };
}

async function withHubs<T>(
  store: string,
  folder: string,
  count: number,
  work: (hubs: AHubProcess[], addresses: string[]) => Promise<T>,
): Promise<T> {
  const hubs: AHubProcess[] = [];
  const addresses: string[] = [];
  try {
    for (let at = 0; at < count; at++) {
      const port = await aFreePort(store, folder);
      hubs.push(await AHubProcess.start(folder, port, store));
      addresses.push(`http://127.0.0.1:${port}`);
    }
    return await work(hubs, addresses);
  } finally {
    for (const hub of hubs) await hub.kill();
  }
}
async function aFreePort(store: string, dataFolder: string): Promise<number> {
  const hub = await startHub({ port: 0, host: "127.0.0.1", dataFolder, store });
  await hub.close();
  return hub.port;
}

/** Everybody has been away and hands in at once. Tests are spread over the hubs. */
async function throughput(store: string, folder: string, count: number): Promise<Passed> {
  const tests = await planned(store, folder);
  return withHubs(store, folder, count, async (hubs, addresses) => {
    const senders = await Promise.all(
      tests.flatMap(({ day, who }, at) =>
        day.judges.map(async ({ person, pen }) => {
          const known = who.get(person);
          if (!known) throw new Error(person);
          const sender = new ASender(addresses[at % count] ?? "", known);
          await sender.connect();
          sender.hold(
            Array.from({ length: MARKS }, (_, n) =>
              aMark(pen, {
                candidate: day.candidates[n % day.candidates.length] ?? "",
                level: 1 + (n % 4),
              }),
            ),
          );
          return sender;
        }),
      ),
    );
    await new Promise((done) => setTimeout(done, 500));
    const hubMs = () => hubs.reduce((sum, hub) => sum + (hub.processorMs ?? Number.NaN), 0);
    const hubBefore = hubMs();
    const begun = performance.now();
    for (const sender of senders) sender.sendAgain();
    await Promise.all(senders.map((sender) => sender.emptied(120_000)));
    const seconds = (performance.now() - begun) / 1000;
    const entries = senders.length * MARKS;
    if (senders.some(({ refused }) => refused.length > 0)) throw new Error("bench: refused");
    return {
      entriesASecond: entries / seconds,
      hubUsAnEntry: ((hubMs() - hubBefore) * 1000) / entries,
    };
  });
}

/** Everybody marks at the pace of a hall. With two hubs, judges and chief of each test are at different ones. */
async function atPace(store: string, folder: string, count: number): Promise<Paced> {
  const tests = await planned(store, folder);
  return withHubs(store, folder, count, async (_, addresses) => {
    const acrossMs: number[] = [];
    const senders: { sender: ASender; write: () => void }[] = [];
    for (const [at, { day, who }] of tests.entries()) {
      const known = (person: string) => {
        const found = who.get(person);
        if (!found) throw new Error(person);
        return found;
      };
      const sentAt = new Map<string, number>();
      const chief = await ATablet.join(addresses[(at + 1) % count] ?? "", known("chief"));
      chief.onFrame((frame) => {
        if (frame.frame !== "coverage") return;
        for (const { judge, candidate } of frame.work) {
          const key = `${judge} ${candidate}`;
          const sent = sentAt.get(key);
          if (sent !== undefined) acrossMs.push(performance.now() - sent);
          sentAt.delete(key);
        }
      });
      for (const { person, pen } of day.judges) {
        const sender = new ASender(addresses[at % count] ?? "", known(person));
        await sender.connect();
        let turn = 0;
        const write = () => {
          const candidate = day.candidates[turn++ % day.candidates.length] ?? "";
          sentAt.set(`${person} ${candidate}`, performance.now());
          sender.write(aMark(pen, { candidate, level: 2 }));
        };
        senders.push({ sender, write });
      }
    }
    await new Promise((done) => setTimeout(done, 500));
    const all = PACE.aSecond * PACE.seconds * senders.length;
    const begun = performance.now();
    for (let at = 0; at < all; at++) {
      // One after another: people do not tap in the same millisecond.
      const due = begun + (at * 1000) / (PACE.aSecond * senders.length);
      await new Promise((done) => setTimeout(done, Math.max(0, due - performance.now())));
      senders[at % senders.length]?.write();
    }
    for (const { sender } of senders) await sender.emptied(10_000);
    await new Promise((done) => setTimeout(done, 500));
    return { ackMs: senders.flatMap(({ sender }) => sender.latenciesMs), acrossMs };
  });
}

/** Milliseconds of processor that the server and all its children have used; NaN where the system does not tell. */
function processorOf({ pid }: APostgres): number {
  try {
    const all = readdirSync("/proc").filter((name) => /^\d+$/.test(name));
    return all.reduce((sum, name) => {
      const fields = statOf(name);
      const isIts = name === String(pid) || fields?.[1] === String(pid);
      // User and system time, its own and that of children that have ended.
      const own = fields
        ? [11, 12, 13, 14].reduce((ticks, at) => ticks + Number(fields[at]), 0)
        : 0;
      return isIts ? sum + own * 10 : sum;
    }, 0);
  } catch {
    return Number.NaN;
  }
}
function statOf(pid: string): string[] | undefined {
  try {
    return readFileSync(`/proc/${pid}/stat`, "utf8").split(") ")[1]?.split(" ");
  } catch {
    // Ended meanwhile.
    return undefined;
  }
}
