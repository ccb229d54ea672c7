import { useState } from "react";
import { useNavigate } from "react-router";
import { FaultError } from "../../../book/faults.ts";
import type { PersonId } from "../../../book/identity.ts";
import type { Pass } from "../../../ports/tablet-store.ts";
import homeWords from "../../../words/en/home.json" with { type: "json" };
import { FileKey } from "../../parts/file-key.tsx";
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { testAddress } from "../../parts/test-pages.ts";
import { useSay } from "../../parts/use-say.ts";
import { useSayFault } from "../../parts/use-say-fault.ts";
import { useServices } from "../../session/services.tsx";
import css from "./home.module.css";
import { type OpenedPack, passAtHub, readPack, takePack } from "./read-pack.ts";

/** Opens a test pack and asks whose tablet this is. */
export function PackForm() {
  const services = useServices();
  const navigate = useNavigate();
  const say = useSay(homeWords);
  const [opened, setOpened] = useState<OpenedPack>();
  /** Whose this tablet is already, where a hub has let it in. */
  const [own, setOwn] = useState<Pass>();
  const [wrong, setWrong] = useState<string>();
  const sayFault = useSayFault();

  async function read(file: string, text: string) {
    const answer = readPack(text);
    if (answer.ok) {
      setOwn(await passAtHub(services, answer.pack));
      setOpened(answer.pack);
      setWrong(undefined);
      return;
    }
    const { problem, at = "" } = answer;
    setOpened(undefined);
    setWrong(
      problem === "changed"
        ? sayFault({ code: "PACK_CHANGED", with: { file } })
        : say(`pack-${problem}`, { file, at }),
    );
  }
  async function take(pack: OpenedPack, person: OpenedPack["people"][number]["seat"]["person"]) {
    try {
      const { grading } = await takePack(services, pack, person);
      services.closeSession(grading);
      await navigate(testAddress(grading));
    } catch (error) {
      setWrong(
        error instanceof FaultError && error.fault.code === "PACK_CHANGED"
          ? sayFault(error.fault)
          : say("store-fault", { reason: String(error) }),
      );
    }
  }

  return (
    <div className={css.form}>
      {opened ? (
        <fieldset className={css.people}>
          <legend>
            <strong>{opened.title}</strong> {own ? say("pack-in") : say("pack-who")}
          </legend>
          <p>{opened.spoken ? say("pack-sum", { sum: opened.spoken }) : say("pack-unsealed")}</p>
          {own && (
            <Key onClick={() => void take(opened, own.person ?? ("nobody" as PersonId))}>
              {say("pack-in-go-on", { name: own.name || opened.title })}
            </Key>
          )}
          {!own && opened.people.length === 0 && <p>{say("pack-nobody")}</p>}
          {(own ? [] : opened.people).map(({ seat, name }) => {
            const roles = seat.roles.map((role) => say(`role-${role}`)).join(", ");
            return (
              <Key
                key={seat.person}
                under={name ? roles : undefined}
                onClick={() => void take(opened, seat.person)}
              >
                {name || roles}
              </Key>
            );
          })}
        </fieldset>
      ) : (
        <FileKey
          accept=".json,application/json"
          kind="ink"
          onFile={(file, text) => void read(file, text)}
        >
          {say("pack-choose")}
        </FileKey>
      )}
      {wrong && <Notice kind="urgent">{wrong}</Notice>}
    </div>
  );
}
