import { NamesDue } from "../../session/names-due.tsx";
import { useNamesKept } from "../../session/use-names-kept.ts";
import { KeptNames } from "./kept-names.tsx";
import { KeptPeriod } from "./kept-period.tsx";

/** Names of this test, and of every test of the hub that keeps it: what is due, who is named, how long. */
export function KeptOfHub({ token }: { token: string }) {
  const { kept, ask } = useNamesKept(token);
  return (
    <>
      {kept && <NamesDue token={token} kept={kept} onErased={() => void ask()} />}
      <KeptNames months={kept?.rule.months} />
      {kept && <KeptPeriod kept={kept} onChoose={ask} />}
    </>
  );
}
