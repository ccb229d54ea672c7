import { NamesDue } from "../../session/names-due.tsx";
import { useNamesKept } from "../../session/use-names-kept.ts";
import { KeptCopies } from "./kept-copies.tsx";
import { KeptNames } from "./kept-names.tsx";
import { KeptPeriod } from "./kept-period.tsx";
import { KeptRecord } from "./kept-record.tsx";

/** Where a hub keeps this test: what is due in any of its tests first, then copies, record, how long names are kept, and whose are in this one. */
export function KeptOfHub({ token }: { token: string }) {
  const { kept, ask } = useNamesKept(token);
  return (
    <>
      {kept && <NamesDue token={token} kept={kept} onErased={() => void ask()} />}
      <KeptCopies token={token} />
      <KeptRecord />
      {kept && <KeptPeriod kept={kept} onChoose={ask} />}
      <KeptNames months={kept?.rule.months} />
    </>
  );
}
