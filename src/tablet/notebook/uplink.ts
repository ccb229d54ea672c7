import type { AnyBook } from "../../book/any-book.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { CountId, DeviceId } from "../../book/identity.ts";
import type { AnyBodies } from "../../book/pen.ts";
import type { SideRecord } from "../../book/side-record.ts";
import { headsApart, withHead } from "../../book/signed-head.ts";
import type { Holds } from "../../line/holds.ts";
import { type FromHub, PROTOCOL } from "../../line/protocol.ts";
import type { Receipts } from "../../line/receipt.ts";
import type { Run } from "../../line/runs.ts";
import type { HubLink, OpenHubLink } from "../../ports/hub-link.ts";
import type { Pass } from "../../ports/tablet-store.ts";
import { appendFrames } from "./append-frames.ts";
import { comparedWith, hearsAnew, outboxIs, owes } from "./at-hub.ts";
import type { BesideEntries, Saying } from "./beside-entries.ts";
import type { NotebookOf } from "./notebook.ts";
import { Resending } from "./resending.ts";
import { readLines, withUnread } from "./unread-lines.ts";

/** What could not be kept is asked for again after this long, milliseconds. */
const AGAIN_MS = 5_000;
/** So long after something new was heard, what the hub refused is offered once more. Milliseconds. */
const OFFER_AGAIN_MS = 10_000;
/** So often the disk is asked for what another tab of this device wrote and did not live to send. Milliseconds. */
const LOOK_ROUND_MS = 30_000;

type Frame<Name extends FromHub["frame"]> = Extract<FromHub, { frame: Name }>;

/** Joins a notebook to a hub: sends what is kept here, hears what others wrote. @returns what leaves it */
export function joinHub<
  Book extends AnyBook,
  Bodies extends AnyBodies<Bodies>,
  News extends object,
>(
  notebook: NotebookOf<Book, Bodies, News>,
  openLink: OpenHubLink,
  listen: (saying: Saying) => BesideEntries,
): { send: HubLink["send"]; leave: () => void } {
  const { store, clock, outbox, heardAnew, rules } = notebook;
  const { grading } = notebook.pass;
  let isWelcome = false;
  // Something heard could not be kept. What comes after it would move the cursor past it, so no entries are taken until the line has come back.
  let isDeaf = false;
  /** The place after what this notebook has in memory. */
  let heardUpTo: Pick<Pass, "cursor" | "link"> = notebook.pass;
  let callOffAgain: (() => void) | undefined;
  let turn = Promise.resolve();
  /** Frames are taken one after another: the cursor may only move past entries that are on the disk. */
  const inTurn = (doIt: () => Promise<void>) => {
    turn = turn.then(doIt).catch(couldNotKeep);
  };

  const resending = new Resending(clock, () =>
    inTurn(async () => (isWelcome ? sendOutbox() : undefined)),
  );

  const send: HubLink["send"] = (frame) => link.send(frame);
  const beside = listen({ send, sendOutbox });
  const link: HubLink = openLink({
    onState(state) {
      isWelcome = false;
      notebook.linkIs(state);
      beside.lineIs(state);
      if (state !== "live") return;
      callOffAgain?.();
      inTurn(sayHello);
    },
    onFrame: (frame) => inTurn(() => hear(frame)),
  });
  function couldNotKeep() {
    isDeaf = true;
    callOffAgain?.();
    callOffAgain = clock.after(AGAIN_MS, () => link.again());
  }
  const passNow = async () => (await store.pass(grading)) ?? notebook.pass;

  async function sayHello() {
    const pass = await passNow();
    if (!pass.token) return;
    // Another tab of this device heard more, or a write was done although its answer was lost: the hub will not say it again.
    const isElsewhere = pass.cursor !== heardUpTo.cursor || pass.link !== heardUpTo.link;
    if (isDeaf || isElsewhere || pass.feed !== notebook.pass.feed) await notebook.readAgain();
    isDeaf = false;
    heardUpTo = pass;
    send({
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

  // ── what this device says ────────────────────────────────────────────────────
  function append(
    entries: readonly AnyEntry[],
    sides: readonly SideRecord[],
    receipts: Receipts = new Map(),
  ) {
    for (const frame of appendFrames(entries, sides, receipts, outbox)) send(frame);
  }
  const sayHolding = () => send({ frame: "holding", unsent: outbox.unsent });

  async function sendOutbox() {
    const { entries: waiting, sides, receipts } = await store.outbox(grading);
    const entries = rules.inTurn(waiting);
    outboxIs(notebook, entries);
    owes(notebook, entries, sides);
    await beside.handIn(entries, (now) => append(now, sides, receipts));
    sayHolding();
  }
  /** What the hub had acknowledged, and lost, goes into the outbox again. */
  async function oweAgain(missing: readonly AnyEntry[]) {
    if (missing.length === 0) return;
    const waiting = new Set((await store.outbox(grading)).entries.map(({ id }) => id));
    const lost = missing.filter(({ id }) => !waiting.has(id));
    if (lost.length > 0) await store.owe(grading, lost);
  }
  async function sendForOthers() {
    if (!isWelcome) return;
    const { entries } = await store.outbox(grading);
    outboxIs(notebook, entries);
    if (entries.some(({ id }) => outbox.isSent(id))) await sendOutbox();
  }

  // ── what the hub says ────────────────────────────────────────────────────────
  async function hear(frame: FromHub): Promise<void> {
    switch (frame.frame) {
      case "welcome":
        return hearWelcome(frame);
      case "entries":
        return isDeaf ? undefined : hearEntries(frame);
      case "ack":
        await store.sent(grading, frame.ids, frame.receipts);
        notebook.acknowledged(frame.ids);
        await beside.hears(frame);
        return sayHolding();
      case "refuse":
        return hearRefusal(frame);
      case "head": {
        const kept = await passNow();
        const heads = withHead(kept.heads ?? [], frame.head);
        const isNews = headsApart(heads)?.seq !== headsApart(kept.heads ?? [])?.seq;
        const pass = { ...kept, heads, ...(isNews && { partedAtMs: notebook.nowMs() }) };
        await store.keepPass(pass);
        return notebook.tookRoles(pass);
      }
      case "hubs":
        await store.keepPass({ ...(await passNow()), hubs: frame.addresses });
        return notebook.knowsHubs(frame.addresses);
      case "bye":
        return notebook.saidFarewell(frame.fault);
      case "pong":
        return;
      default:
        return beside.hears(frame);
    }
  }

  async function hearWelcome(frame: Frame<"welcome">) {
    const { person, roles, feed, resumed, putBack, upTo } = frame;
    const { rosterDroppedAtMs: _, link: place, ...before } = await passNow();
    // With other roles the feed is another.
    const isAnew = !resumed && (putBack || before.feed === feed);
    // First: what the copy has is sent, also where its acknowledgement never came.
    const missing = frame.holds ? comparedWith(notebook, holdsOf(frame, before.device)) : [];
    if (putBack || isAnew) outbox.givesUp(new Set((await store.outbox(grading)).owed));
    // The same feed, at least as long, but another line stands where this device had read to. A shorter one may only be behind.
    const isParted = isAnew && before.feed === feed && isWithin(before.cursor, upTo);
    const pass = {
      ...before,
      ...(await beside.meets(before)),
      ...(isAnew && { lost: hearsAnew(notebook) }),
      ...(isParted ? { partedAtMs: notebook.nowMs() } : {}),
      person,
      roles,
      feed,
      cursor: resumed ? before.cursor : 0,
      ...(resumed ? { link: place } : {}),
      lastContactMs: notebook.nowMs(),
    };
    await store.keepPass(pass);
    heardUpTo = pass;
    notebook.saidFarewell(undefined);
    await beside.hears(frame);
    notebook.tookRoles(pass);
    notebook.heardUpTo(pass.cursor, upTo ?? 0);
    await oweAgain(missing);
    isWelcome = true;
    await sendOutbox();
  }

  async function hearEntries(frame: Frame<"entries">) {
    const { entries, unread } = readLines(rules.readEntry, frame.entries);
    const sides = frame.sides ?? [];
    const { cursor, link: its } = frame;
    const lost = heardAnew.missingBehind(entries);
    const place = { feed: notebook.pass.feed ?? "", cursor, link: its, ...(lost && { lost }) };
    if (unread.length > 0) {
      const all = withUnread((await store.pass(grading))?.unread ?? [], unread);
      await store.hear(grading, entries, sides, { ...place, unread: all });
      notebook.couldNotRead(all);
    } else await store.hear(grading, entries, sides, place);
    notebook.take(entries, sides);
    heardUpTo = place;
    notebook.heardUpTo(cursor);
    await beside.hears(frame);
    // What was refused for want of something may be taken now.
    if (entries.length > 0 && outbox.refused.size + outbox.aside > 0)
      resending.within(OFFER_AGAIN_MS);
  }

  async function hearRefusal(frame: Frame<"refuse">) {
    const { id, fault } = frame;
    if (fault.code === "N_GAP") return resending.overGap();
    if (id) notebook.wasRefused(id, fault);
    await beside.hears(frame);
    // The hub catches up by what the chief's device says, of which nothing may be heard here.
    if (id && fault.code === "LAMPORT_TOO_HIGH") resending.within(OFFER_AGAIN_MS);
  }

  const stopLooking = clock.every(LOOK_ROUND_MS, () => inTurn(sendForOthers));
  const stopSending = notebook.onKept((entries, sides) => {
    if (!isWelcome) return;
    if (beside.holdsBack()) inTurn(sendOutbox);
    else append(entries, sides);
  });

  return {
    send,
    leave() {
      stopSending();
      stopLooking();
      beside.leave();
      callOffAgain?.();
      resending.callOff();
      link.close();
      notebook.linkIs("none");
    },
  };
}

const isWithin = (cursor: number, upTo = 0): boolean => cursor > 0 && cursor <= upTo;

/** A hub of before knows of one count of each device. */
const holdsOf = ({ holds = [], holdsByCount = {} }: Frame<"welcome">, device: DeviceId): Holds =>
  new Map(Object.entries({ [device]: holds, ...holdsByCount }) as [CountId, Run[]][]);
