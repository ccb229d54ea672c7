import type { SideRecordId } from "../../core/identity.ts";
import { type AnyEntry, readEntry } from "../../core/scorebook/entry.ts";
import type { SideRecord } from "../../core/scorebook/side-record.ts";
import type { HubLink, OpenHubLink } from "../../ports/hub-link.ts";
import { inBatches } from "../../sync/catch-up.ts";
import { type Coverage, type FromHub, PROTOCOL } from "../../sync/protocol.ts";
import type { Notebook } from "./notebook.ts";

/** The name of a coverage cell: one judge, one candidate, one place. */
export const coverageKey = ({
  judge,
  candidate,
  section,
  item,
  side,
}: Omit<Coverage, "marked" | "notSeen">): string =>
  `${judge}/${candidate}/${section}/${item ?? ""}/${side ?? ""}`;

/** Joins a notebook to a hub: sends what is kept here, hears what others wrote. Ends with the function it returns. */
export function joinHub(
  notebook: Notebook,
  openLink: OpenHubLink,
): { sendPace: (count: number) => void; leave: () => void } {
  const { store } = notebook;
  const { grading } = notebook.pass;
  let isWelcome = false;
  // Frames are taken one after another: the cursor may only move past entries that are on the disk.
  let hearing = Promise.resolve();

  const link: HubLink = openLink({
    onState(state) {
      isWelcome = false;
      notebook.linkIs(state);
      if (state === "live") void sayHello();
    },
    onFrame(frame) {
      hearing = hearing.then(() => hear(frame)).catch(() => undefined);
    },
  });

  async function sayHello() {
    const pass = (await store.pass(grading)) ?? notebook.pass;
    if (!pass.token) return;
    link.send({
      frame: "hello",
      protocol: PROTOCOL,
      token: pass.token,
      grading,
      device: pass.device,
      cursor: pass.cursor,
      ...(pass.feed ? { feed: pass.feed } : {}),
    });
  }

  function append(entries: readonly AnyEntry[], sides: readonly SideRecord[]) {
    for (const batch of inBatches(entries, (entry) => JSON.stringify(entry).length)) {
      const named = sideIdsIn(batch);
      link.send({
        frame: "append",
        entries: batch,
        sides: sides.filter(({ id }) => named.has(id)),
      });
    }
  }

  async function sendOutbox() {
    const { entries, sides } = await store.outbox(grading);
    append(entries, sides);
    link.send({ frame: "holding", unsent: entries.length });
  }

  async function hear(frame: FromHub): Promise<void> {
    switch (frame.frame) {
      case "welcome": {
        const { rosterDroppedAtMs: _, ...before } = (await store.pass(grading)) ?? notebook.pass;
        const pass = {
          ...before,
          person: frame.person,
          roles: frame.roles,
          feed: frame.feed,
          cursor: frame.resumed ? before.cursor : 0,
          lastContactMs: notebook.nowMs(),
        };
        await store.keepPass(pass);
        notebook.tookRoles(pass);
        notebook.heardUpTo(pass.cursor, frame.upTo ?? 0);
        isWelcome = true;
        await sendOutbox();
        return;
      }
      case "entries": {
        const entries = frame.entries.flatMap((json) => {
          const read = readEntry(json);
          return read.ok ? [read.entry] : [];
        });
        const sides = frame.sides ?? [];
        await store.hear(grading, entries, sides, {
          feed: notebook.pass.feed ?? "",
          cursor: frame.cursor,
        });
        notebook.take(entries, sides);
        notebook.heardUpTo(frame.cursor);
        return;
      }
      case "ack":
        await store.sent(grading, frame.ids);
        notebook.acknowledged(frame.ids);
        link.send({ frame: "holding", unsent: notebook.unsent });
        return;
      case "refuse":
        // The hub lacks an earlier line of this device: everything unsent goes out again, in order.
        if (frame.fault.code === "N_GAP") await sendOutbox();
        else if (frame.id) notebook.wasRefused(frame.id, frame.fault);
        return;
      case "coverage": {
        const coverage = new Map(frame.whole ? [] : notebook.news.coverage);
        for (const cell of frame.cells) coverage.set(coverageKey(cell), cell);
        notebook.heardNews({ coverage });
        return;
      }
      case "presence":
        notebook.heardNews({ presence: frame.people });
        return;
      case "waiting":
        notebook.heardNews({ waiting: frame.devices });
        return;
      case "pace":
        notebook.heardNews({ count: frame.count });
        return;
      case "bye":
        notebook.saidFarewell(frame.fault);
        return;
      case "pong":
        return;
    }
  }

  const stopSending = notebook.onKept((entries, sides) => {
    if (isWelcome) append(entries, sides);
  });

  return {
    sendPace: (count) => link.send({ frame: "pace", count }),
    leave() {
      stopSending();
      link.close();
      notebook.linkIs("none");
    },
  };
}

/** The side records a batch refers to, wherever in a body they are named. */
function sideIdsIn(entries: readonly AnyEntry[]): Set<SideRecordId> {
  const found = new Set<SideRecordId>();
  for (const { body } of entries) {
    for (const value of Object.values(body)) {
      if (typeof value === "object" && value !== null && "digest" in value && "id" in value)
        found.add(value.id as SideRecordId);
    }
  }
  return found;
}
