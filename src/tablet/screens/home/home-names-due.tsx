import { NamesDue } from "../../session/names-due.tsx";
import { useNamesKept } from "../../session/use-names-kept.ts";

/** On the chief's first page: whose names are due to go. Nothing where none are, or where the hub does not say. */
export function HomeNamesDue({ token }: { token: string }) {
  const { kept, ask } = useNamesKept(token);
  return kept ? <NamesDue token={token} kept={kept} onErased={() => void ask()} /> : null;
}
