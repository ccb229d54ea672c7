import { useState } from "react";
import { useNavigate } from "react-router";
import { homeWords } from "../../../words/home-words.ts";
import { FileKey } from "../../parts/file-key.tsx";
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { useSay } from "../../parts/use-say.ts";
import { useServices } from "../../session/services.tsx";
import { type OpenedPack, readPack, takePack } from "./read-pack.ts";

/** Opens a test pack and asks whose tablet this is. */
export function PackForm() {
  const services = useServices();
  const navigate = useNavigate();
  const say = useSay(homeWords);
  const [opened, setOpened] = useState<OpenedPack>();
  const [wrong, setWrong] = useState<string>();

  function read(file: string, text: string) {
    const answer = readPack(text);
    setOpened(answer.ok ? answer.pack : undefined);
    setWrong(answer.ok ? undefined : say(`pack-${answer.problem}`, { file, at: answer.at ?? "" }));
  }
  async function take(pack: OpenedPack, person: OpenedPack["people"][number]["seat"]["person"]) {
    try {
      const { grading } = await takePack(services, pack, person);
      services.closeSession(grading);
      await navigate(`/tests/${grading}`);
    } catch (error) {
      setWrong(say("store-fault", { reason: String(error) }));
    }
  }

  return (
    <div className="home-form">
      {opened ? (
        <fieldset className="home-people">
          <legend>
            <strong>{opened.title}</strong> {say("pack-who")}
          </legend>
          {opened.people.length === 0 && <p>{say("pack-nobody")}</p>}
          {opened.people.map(({ seat, name }) => {
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
        <FileKey accept=".json,application/json" kind="ink" onFile={read}>
          {say("pack-choose")}
        </FileKey>
      )}
      {wrong && <Notice kind="urgent">{wrong}</Notice>}
    </div>
  );
}
