import { render } from "@testing-library/react";
import type { ReactElement } from "react";
import { MemoryRouter, Route, Routes } from "react-router";
import type { Role } from "../../src/belt-test/kinds/body-parts.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId, PersonId } from "../../src/book/identity.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import type { Answer, HubDesk } from "../../src/ports/hub-desk.ts";
import type { Pass } from "../../src/ports/tablet-store.ts";
import { Notebook } from "../../src/tablet/session/notebook.ts";
import {
  type Services,
  ServicesProvider,
  type Session,
  SessionProvider,
} from "../../src/tablet/session/services.tsx";
import { openDexieScorebook } from "../../src/tablet/storage/dexie-scorebook.ts";
import { aGradingId, anEntryId } from "./a-pen.ts";

let opened = 0;

const unreachable = async (): Promise<Answer<never>> => ({
  ok: false,
  fault: { code: "HUB_UNREACHABLE" },
});
/** A hub that nobody reaches, but for what the test says it answers. */
const aHubDesk = (answers: Partial<HubDesk> = {}): HubDesk => ({
  health: unreachable,
  claim: unreachable,
  makeGrading: unreachable,
  gradings: unreachable,
  openExample: unreachable,
  join: unreachable,
  me: unreachable,
  code: unreachable,
  newCode: unreachable,
  devices: unreachable,
  backups: unreachable,
  newestBackup: unreachable,
  bringBack: unreachable,
  namesKept: unreachable,
  namesShown: unreachable,
  eraseNames: unreachable,
  trust: unreachable,
  sheet: unreachable,
  sheetLinks: unreachable,
  makeSheetLink: unreachable,
  revokeSheetLink: unreachable,
  admit: unreachable,
  refuse: unreachable,
  revoke: unreachable,
  chiefs: unreachable,
  endChief: unreachable,
  ...answers,
});

export interface ASession {
  session: Session;
  services: Services;
  notebook: Notebook;
  /** The counts the caller said. */
  paces: number[];
  /** What was said of further devices at the door. */
  doorAnswers: [string, boolean][];
  /** Renders a screen of this session at an address. */
  show: (screen: ReactElement, address?: string) => ReturnType<typeof render>;
}

/** Somebody's device with a book already on it: a real notebook on a real (pretended) disk, no hub. */
export async function aSession(
  person: string,
  roles: Role[],
  entries: readonly AnyEntry[] = [],
  more: {
    sides?: readonly SideRecord[];
    hub?: Partial<HubDesk>;
    device?: string;
    token?: string;
  } = {},
): Promise<ASession> {
  const store = openDexieScorebook(`session-${opened++}`);
  const pass: Pass = {
    grading: aGradingId,
    device: (more.device ?? `${person}-tablet`) as DeviceId,
    person: person as PersonId,
    roles,
    name: person,
    ...(more.token ? { token: more.token } : {}),
    cursor: 0,
    lastContactMs: 0,
  };
  await store.keepPass(pass);
  await store.append(aGradingId, entries, more.sides ?? []);
  let now = Date.UTC(2026, 5, 6, 10);
  const nowMs = () => ++now;
  const notebook = await Notebook.open({ store, pass, makeId: anEntryId, nowMs });
  const paces: number[] = [];
  const doorAnswers: [string, boolean][] = [];
  const session: Session = {
    notebook,
    sendPace: (count) => void paces.push(count),
    answerDoor: (device, yes) => void doorAnswers.push([device, yes]),
  };
  let random = 1;
  const services: Services = {
    store,
    hub: aHubDesk(more.hub),
    openSession: async () => session,
    closeSession: () => {},
    makeId: anEntryId,
    // The constants of the C standard's example (ISO/IEC 9899, 7.22.2.2): no two records of a day are alike.
    random: (bytes) =>
      Uint8Array.from({ length: bytes }, () => {
        random = (Math.imul(random, 1103515245) + 12345) >>> 0;
        return (random >>> 16) & 255;
      }),
    nowMs,
  };
  const show = (screen: ReactElement, address = "/tests/grading-1/screen") =>
    render(
      <ServicesProvider services={services}>
        <SessionProvider session={session}>
          <MemoryRouter initialEntries={[address]}>
            <Routes>
              <Route path="/tests/:grading/*" element={screen} />
              <Route path="*" element={screen} />
            </Routes>
          </MemoryRouter>
        </SessionProvider>
      </ServicesProvider>,
    );
  return { session, services, notebook, paces, doorAnswers, show };
}
