import { isUnderWay } from "../../belt-test/scorebook/is-under-way.ts";
import { RoleLinks } from "../parts/role-links.tsx";
import { StopKey } from "../parts/stop-key.tsx";
import { useNotebook } from "./services.tsx";
import { stopFloor } from "./stop-floor.ts";
import css from "./way-around.module.css";

/** The way around for whoever holds more than one part of the test, and the stop that every role has. */
export function WayAround() {
  const notebook = useNotebook();
  const { book, pass } = notebook;
  return (
    <div className={`${css.root} not-on-paper`} data-part="way-around">
      <RoleLinks grading={pass.grading} roles={pass.roles} waiting={notebook.news.waiting.length} />
      {isUnderWay(book) && <StopKey onStop={() => void stopFloor(notebook)} />}
    </div>
  );
}
