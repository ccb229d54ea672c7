import { useEffect, useState } from "react";
import type { HubDesk } from "../../../ports/hub-desk.ts";
import type { Held } from "./held-here.ts";

/** A person switches the certificate on in another app and comes back. */
const LOOK_EVERY_MS = 2_000;

export interface TrustDoors {
  /** Under which the hub was reached; over TLS it is the same at another port. */
  host: string;
  /** `#` and the join code; may be empty. */
  code: string;
  ask: HubDesk["trust"];
  held: () => Promise<Held[]>;
  isTrusted: (origin: string) => Promise<boolean>;
  leadTo: (address: string) => void;
}
export interface TrustState {
  offer?: {
    name: string;
    fingerprint: string;
    origin: string;
    byName: string | null;
    formerly: readonly string[];
  };
  isAway?: true;
  held?: Held;
  isTrusted?: boolean;
}

/**
 * What the hub offers, and whether this browser trusts it: asked again and again until it does. Whoever trusts it already
 * is led on at once; nobody is led away from lines that no hub has.
 */
export function useTrust({ host, code, ask, held, isTrusted, leadTo }: TrustDoors): TrustState {
  const [state, setState] = useState<TrustState>({});
  useEffect(() => {
    let isHere = true;
    let timer: ReturnType<typeof setTimeout> | undefined;
    async function start() {
      // A store that cannot be opened holds nothing that could be left behind.
      const [answer, [first]] = await Promise.all([ask(), held().catch(() => [])]);
      if (!isHere) return;
      if (!answer.ok) return setState({ isAway: true });
      if (!answer.trust || answer.trust.port === null) return leadTo(`/join${code}`);
      const { name, fingerprint, port, byName = null, formerly = [] } = answer.trust;
      const origin = `https://${host}:${port}`;
      const offer = { name, fingerprint, origin, byName, formerly };
      setState({ offer, ...(first && { held: first }) });
      if (first) return;
      const look = async (isFirst: boolean) => {
        const isDone = await isTrusted(origin);
        if (!isHere) return;
        if (isDone && isFirst) leadTo(`${origin}/join${code}`);
        if (!isDone) timer = setTimeout(look, LOOK_EVERY_MS, false);
        setState({ offer, isTrusted: isDone });
      };
      await look(true);
    }
    void start();
    return () => {
      isHere = false;
      clearTimeout(timer);
    };
  }, [ask, held, isTrusted, leadTo, host, code]);
  return state;
}
