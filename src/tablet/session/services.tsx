import { createContext, type ReactNode, useContext, useSyncExternalStore } from "react";
import type { DeviceId, GradingId } from "../../book/identity.ts";
import type { HubDesk } from "../../ports/hub-desk.ts";
import type { Pass, TabletStore } from "../../ports/tablet-store.ts";
import type { Notebook } from "./notebook.ts";

/** An open grading: its notebook, and what is said to the hub beside entries. */
export interface Session {
  notebook: Notebook;
  /** The count on the floor, which only the caller says. */
  sendPace: (count: number) => void;
  /** Whether a further device at the door is this person's. */
  answerDoor: (device: DeviceId, yes: boolean) => void;
}

/** What main wires for every screen. Time, ids and chance come from here, so that screens can be tested. */
export interface Services {
  store: TabletStore;
  hub: HubDesk;
  openSession: (pass: Pass) => Promise<Session>;
  closeSession: (grading: GradingId) => void;
  makeId: () => string;
  random: (bytes: number) => Uint8Array;
  nowMs: () => number;
}

const ServicesContext = createContext<Services | undefined>(undefined);
const SessionContext = createContext<Session | undefined>(undefined);

export function ServicesProvider({
  services,
  children,
}: {
  services: Services;
  children: ReactNode;
}) {
  return <ServicesContext value={services}>{children}</ServicesContext>;
}
export function SessionProvider({ session, children }: { session: Session; children: ReactNode }) {
  return <SessionContext value={session}>{children}</SessionContext>;
}

export function useServices(): Services {
  const services = useContext(ServicesContext);
  if (!services) throw new Error("useServices: no ServicesProvider above");
  return services;
}

/** The open grading; the component renders again with every change of it. */
export function useSession(): Session {
  const session = useContext(SessionContext);
  if (!session) throw new Error("useSession: no SessionProvider above");
  useSyncExternalStore(session.notebook.subscribe, session.notebook.snapshot);
  return session;
}
export const useNotebook = (): Notebook => useSession().notebook;
