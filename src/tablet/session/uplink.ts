import { heldFirst } from "../../belt-test/scorebook/held-first.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { FaultCode } from "../../book/faults.ts";
import type { CountId, DeviceId } from "../../book/identity.ts";
import type { SideRecord } from "../../book/side-record.ts";
import { headsApart, withHead } from "../../book/signed-head.ts";
import { bytesIn, inBatches } from "../../line/catch-up.ts";
import { callKey, coverageKey } from "../../line/coverage-key.ts";
import type { Holds } from "../../line/owed-again.ts";
import { type FromHub, PROTOCOL } from "../../line/protocol.ts";
import { type Receipts, withReceipt } from "../../line/receipt.ts";
import { refsIn } from "../../line/refs-in.ts";
import type { Run } from "../../line/runs.ts";
import type { HubLink, OpenHubLink } from "../../ports/hub-link.ts";
import type { Pass } from "../../ports/tablet-store.ts";
import type { Notebook } from "./notebook.ts";
import { readLines, withUnread } from "./unread-lines.ts";

/** What could not be kept is asked for again after this long, milliseconds. */
const AGAIN_MS = 5_000;
/** Unsent entries go out again after the first of these when one was missing, and no faster than the second. Milliseconds. */
const RESEND_MS = { first: 200, next: 5_000 };
/** So long after something new was heard, what the hub refused is offered once more. Milliseconds. */
const OFFER_AGAIN_MS = 10_000;
/** So often the disk is asked for what another tab of this device wrote and did not live to send. Milliseconds. */
const LOOK_ROUND_MS = 30_000;

/** Joins a notebook to a hub: sends what is kept here, hears what others wrote. Ends with the function it returns. */
export function joinHub(
  notebook: Notebook,
  openLink: OpenHubLink,
): {
  sendPace: (count: number) => void;
  answerDoor: (device: DeviceId, yes: boolean) => void;
  leave: () => void;
} {
  const { store, clock } = notebook;
  const { grading } = notebook.pass;
  let isWelcome = false;
  // Frames are taken one after another: the cursor may only move past entries that are on the disk.
  let hearing = Promise.resolve();
  // Something heard could not be kept. What comes after it would move the cursor past it, so no entries are taken until the line has come back.
  let isDeaf = false;
  /** The place after what this notebook has in memory. */
  let heardUpTo: Pick<Pass, "cursor" | "link"> = notebook.pass;
  let callOffAgain: (() => void) | undefined;
  let callOffResend: (() => void) | undefined;
  let resentAtMs = Number.NEGATIVE_INFINITY;

  const link: HubLink = openLink({
    onState(state) {
      isWelcome = false;
      notebook.linkIs(state);
      // Asked anew by whichever hub it comes back to.
      if (notebook.news.doorQuestions.length > 0) notebook.heardNews({ doorQuestions: [] });
      if (state !== "live") return;
      callOffAgain?.();
      hearing = hearing.then(sayHello).catch(couldNotKeep);
    },
    onFrame(frame) {
      hearing = hearing.then(() => hear(frame)).catch(couldNotKeep);
    },
  });

  function couldNotKeep() {
    isDeaf = true;
    callOffAgain?.();
    callOffAgain = clock.after(AGAIN_MS, () => link.again());
  }

  async function sayHello() {
    const pass = (await store.pass(grading)) ?? notebook.pass;
    if (!pass.token) return;
    // Another tab of this device heard more, or a write was done although its answer was lost: the hub will not say it again.
    const isElsewhere = pass.cursor !== heardUpTo.cursor || pass.link !== heardUpTo.link;
    if (isDeaf || isElsewhere || pass.feed !== notebook.pass.feed) await notebook.readAgain();
    isDeaf = false;
    heardUpTo = pass;
    link.send({
      frame: "hello",
      protocol: PROTOCOL,
      token: pass.token,
      grading,
      device: pass.device,
      cursor: pass.cursor,
      lamport: notebook.lamport,
      ...(pass.feed ? { feed: pass.feed } : {}),
      ...(pass.link ? { link: pass.link } : {}),
    });
  }

  function append(
    entries: readonly AnyEntry[],
    sides: readonly SideRecord[],
    receipts: Receipts = new Map(),
  ) {
    const beside = (entry: AnyEntry) => {
      const named = new Set(refsIn(entry).map(({ id }) => id));
      return sides.filter(({ id }) => named.has(id));
    };
    const batches = inBatches(
      entries,
      (entry) => bytesIn(JSON.stringify([withReceipt(entry, receipts), ...beside(entry)])),
      { countOf: (entry) => Math.max(1, beside(entry).length) },
    );
    for (const batch of batches) {
      const named = new Set(batch.flatMap(refsIn).map(({ id }) => id));
      link.send({
        frame: "append",
        entries: batch.map((entry) =>
          notebook.outbox.isGivenUp(entry.id)
            ? { ...entry, kind: undefined }
            : withReceipt(entry, receipts),
        ),
        sides: sides.filter(({ id }) => named.has(id)),
      });
    }
  }

  async function sendOutbox() {
    const { entries: waiting, sides, receipts } = await store.outbox(grading);
    const entries = heldFirst(waiting);
    notebook.outboxIs(entries);
    notebook.owes(entries, sides);
    const files = await fromFiles();
    append(files ? files.withoutHeldBack(notebook, entries) : entries, sides, receipts);
    for (const entry of files?.shoutsHeldBack(notebook, entries) ?? [])
      link.send({ frame: "floor", entry });
    link.send({ frame: "holding", unsent: notebook.outbox.unsent });
  }

  /** Read by those alone who wait for it. */
  const fromFiles = async (pass = notebook.pass) =>
    pass.fromFiles ? await import("./from-files.ts") : undefined;

  /** A chief is told of the coverage behind each welcome, too. */
  async function waitsNoMore() {
    if (await (await fromFiles())?.hasSaidAll(notebook)) await sendOutbox();
  }

  /** What the hub had acknowledged, and lost, goes into the outbox again. */
  async function oweAgain(missing: readonly AnyEntry[]) {
    if (missing.length === 0) return;
    const waiting = new Set((await store.outbox(grading)).entries.map(({ id }) => id));
    const lost = missing.filter(({ id }) => !waiting.has(id));
    if (lost.length > 0) await store.owe(grading, lost);
  }

  /** Once, however often it is asked for meanwhile. */
  function sendOutboxIn(ms: number) {
    callOffResend ??= clock.after(ms, () => {
      callOffResend = undefined;
      resentAtMs = clock.steadyMs();
      hearing = hearing.then(() => (isWelcome ? sendOutbox() : undefined)).catch(couldNotKeep);
    });
  }

  async function hear(frame: FromHub): Promise<void> {
    switch (frame.frame) {
      case "welcome": {
        const {
          rosterDroppedAtMs: _,
          link: place,
          ...before
        } = (await store.pass(grading)) ?? notebook.pass;
        // With other roles the feed is another.
        const isAnew = !frame.resumed && (frame.putBack || before.feed === frame.feed);
        // First: what the copy has is sent, also where its acknowledgement never came.
        const missing = frame.holds ? notebook.comparedWith(holdsOf(frame, before.device)) : [];
        if (frame.putBack || isAnew)
          notebook.outbox.givesUp(new Set((await store.outbox(grading)).owed));
        // The same feed, at least as long, but another line stands where this device had read to. A shorter one may only be behind.
        const isParted =
          isAnew && before.feed === frame.feed && isWithin(before.cursor, frame.upTo);
        const met = (await fromFiles(before))?.meetsHub(notebook, before);
        const pass = {
          ...before,
          ...met,
          ...(isAnew && { lost: notebook.hearsAnew() }),
          ...(isParted ? { partedAtMs: notebook.nowMs() } : {}),
          person: frame.person,
          roles: frame.roles,
          feed: frame.feed,
          cursor: frame.resumed ? before.cursor : 0,
          ...(frame.resumed ? { link: place } : {}),
          lastContactMs: notebook.nowMs(),
        };
        await store.keepPass(pass);
        heardUpTo = pass;
        notebook.saidFarewell(undefined);
        // Whatever is wrong still is said anew.
        if (notebook.news.damage) notebook.heardNews({ damage: undefined });
        notebook.tookRoles(pass);
        notebook.heardUpTo(pass.cursor, frame.upTo ?? 0);
        await oweAgain(missing);
        isWelcome = true;
        await sendOutbox();
        return;
      }
      case "entries": {
        if (isDeaf) return;
        const { entries, unread } = readLines(frame.entries);
        const sides = frame.sides ?? [];
        const { cursor, link: its } = frame;
        const lost = notebook.lostBehind(entries);
        const place = { feed: notebook.pass.feed ?? "", cursor, link: its, ...(lost && { lost }) };
        if (unread.length > 0) {
          const kept = (await store.pass(grading))?.unread ?? [];
          const all = withUnread(kept, unread);
          await store.hear(grading, entries, sides, { ...place, unread: all });
          notebook.couldNotRead(all);
        } else await store.hear(grading, entries, sides, place);
        notebook.take(entries, sides);
        heardUpTo = place;
        notebook.heardUpTo(frame.cursor);
        await waitsNoMore();
        // What was refused for want of something may be taken now.
        if (entries.length > 0 && notebook.outbox.refused.size + notebook.outbox.aside > 0)
          sendOutboxIn(OFFER_AGAIN_MS);
        return;
      }
      case "ack":
        await store.sent(grading, frame.ids, frame.receipts);
        notebook.acknowledged(frame.ids);
        await waitsNoMore();
        // An erasing that waits is said again behind each acknowledgement, as long as it does.
        if (notebook.news.damage?.code === "ERASED_WAITS")
          notebook.heardNews({ damage: undefined });
        link.send({ frame: "holding", unsent: notebook.outbox.unsent });
        return;
      case "refuse":
        // The hub lacks an earlier line of this device: everything unsent goes out again, in order, once for a whole batch.
        if (frame.fault.code === "N_GAP")
          sendOutboxIn(
            clock.steadyMs() - resentAtMs > RESEND_MS.next ? RESEND_MS.first : RESEND_MS.next,
          );
        else if (frame.id) {
          notebook.wasRefused(frame.id, frame.fault);
          await waitsNoMore();
          // The hub catches up by what the chief's device says, of which nothing may be heard here.
          if (frame.fault.code === "LAMPORT_TOO_HIGH") sendOutboxIn(OFFER_AGAIN_MS);
        } else if (damages.has(frame.fault.code)) notebook.heardNews({ damage: frame.fault });
        return;
      case "coverage": {
        const coverage = new Map(frame.whole ? [] : notebook.news.coverage);
        for (const one of frame.work) coverage.set(coverageKey(one), one);
        const calls = new Map(frame.whole ? [] : notebook.news.calls);
        for (const one of frame.calls) calls.set(callKey(one), one);
        notebook.heardNews({ coverage, calls });
        await waitsNoMore();
        return;
      }
      case "head": {
        const kept = (await store.pass(grading)) ?? notebook.pass;
        const heads = withHead(kept.heads ?? [], frame.head);
        const isNews = headsApart(heads)?.seq !== headsApart(kept.heads ?? [])?.seq;
        const pass = { ...kept, heads, ...(isNews && { partedAtMs: notebook.nowMs() }) };
        await store.keepPass(pass);
        notebook.tookRoles(pass);
        return;
      }
      case "presence":
        notebook.heardNews({ presence: frame.people });
        return;
      case "waiting":
        notebook.heardNews({ waiting: frame.devices });
        return;
      case "door-questions":
        notebook.heardNews({ doorQuestions: frame.devices });
        return;
      case "pace":
        notebook.heardNews({ count: frame.count });
        return;
      case "floor":
        notebook.heardFloor(frame.floor);
        return;
      case "hubs": {
        const pass = (await store.pass(grading)) ?? notebook.pass;
        await store.keepPass({ ...pass, hubs: frame.addresses });
        notebook.knowsHubs(frame.addresses);
        return;
      }
      case "bye":
        notebook.saidFarewell(frame.fault);
        return;
      case "pong":
        return;
      default:
        frame satisfies never;
    }
  }

  async function sendForOthers() {
    if (!isWelcome) return;
    const { entries } = await store.outbox(grading);
    notebook.outboxIs(entries);
    if (entries.some(({ id }) => notebook.outbox.isSent(id))) await sendOutbox();
  }
  const stopLooking = clock.every(LOOK_ROUND_MS, () => {
    hearing = hearing.then(sendForOthers).catch(couldNotKeep);
  });

  const stopSending = notebook.onKept((entries, sides) => {
    if (!isWelcome) return;
    if (notebook.pass.fromFiles) hearing = hearing.then(sendOutbox).catch(couldNotKeep);
    else append(entries, sides);
  });

  const stopShouting = notebook.onShout((entry) => link.send({ frame: "floor", entry }));

  return {
    answerDoor: (device, yes) => link.send({ frame: "door-answer", device, yes }),
    sendPace: (count) => link.send({ frame: "pace", count }),
    leave() {
      stopSending();
      stopShouting();
      stopLooking();
      callOffAgain?.();
      callOffResend?.();
      link.close();
      notebook.linkIs("none");
    },
  };
}

const isWithin = (cursor: number, upTo = 0): boolean => cursor > 0 && cursor <= upTo;

/** What a hub says of the whole test, of its own accord. */
const damages: ReadonlySet<FaultCode> = new Set(["TEST_DAMAGED", "NAMES_DAMAGED", "ERASED_WAITS"]);

/** A hub of before knows of one count of each device. */
const holdsOf = (
  { holds = [], holdsByCount = {} }: Extract<FromHub, { frame: "welcome" }>,
  device: DeviceId,
): Holds => new Map(Object.entries({ [device]: holds, ...holdsByCount }) as [CountId, Run[]][]);
