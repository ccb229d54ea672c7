import { lazy, Suspense, useState } from "react";
import { Link } from "react-router";
import { longDay } from "../../../words/dates.ts";
import homeWords from "../../../words/en/home.json" with { type: "json" };
import { Key, keyLook } from "../../parts/key.tsx";
import { testAddress } from "../../parts/test-pages.ts";
import { useSay } from "../../parts/use-say.ts";
import type { GradingHere } from "./gradings-here.ts";
import css from "./home.module.css";

const CarryDialog = lazy(async () => ({
  default: (await import("./carry-dialog.tsx")).CarryDialog,
}));
const RemoveDialog = lazy(async () => ({
  default: (await import("./remove-dialog.tsx")).RemoveDialog,
}));

/** The gradings of this device, hung on the line; the test that is under way wears a full bead. */
export function GradingList({
  gradings,
  onChanged,
}: {
  gradings: readonly GradingHere[];
  /** Something came, or went. */
  onChanged: () => void;
}) {
  const say = useSay(homeWords);
  const [removing, setRemoving] = useState<GradingHere>();
  const [carrying, setCarrying] = useState<GradingHere>();
  return (
    <>
      <ul>
        {gradings.map((one) => {
          const { pass, state, date, isExample, unsent } = one;
          const title = one.title || say("untitled");
          const role = pass.roles.includes("chief") ? "chief" : pass.roles[0];
          const about = [
            role ? say(`role-${role}`) : say("role-none", { name: pass.name }),
            say(`state-${state}`),
            ...(pass.token ? [] : [say("no-hub-copy")]),
            ...(isExample ? [say("invented")] : []),
            ...(unsent > 0 && pass.token ? [say("unsent", { count: unsent })] : []),
          ];
          return (
            <li key={pass.grading} className={css.bead} data-state={state}>
              <div className={css.grading}>
                <h3>{title}</h3>
                <p>
                  {date && <time dateTime={date}>{longDay(date, say.locale)}</time>}
                  {about.map((words) => (
                    <span key={words}>{words}</span>
                  ))}
                </p>
                <div className={css.gradingKeys}>
                  <Link
                    {...keyLook}
                    data-kind="ink"
                    to={testAddress(pass.grading)}
                    aria-label={say("open-named", { title })}
                  >
                    {say("open")}
                  </Link>
                  {pass.token && pass.person && (
                    <Key
                      kind="quiet"
                      aria-label={say("carry-named", { title })}
                      onClick={() => setCarrying(one)}
                    >
                      {say("carry")}
                    </Key>
                  )}
                  <Key
                    kind="quiet"
                    aria-label={say("remove-named", { title })}
                    onClick={() => setRemoving(one)}
                  >
                    {say("remove")}
                  </Key>
                </div>
              </div>
            </li>
          );
        })}
      </ul>
      <Suspense>
        {carrying && (
          <CarryDialog
            grading={carrying}
            onClose={() => {
              setCarrying(undefined);
              onChanged();
            }}
          />
        )}
        {removing && (
          <RemoveDialog
            grading={removing}
            onClose={() => setRemoving(undefined)}
            onRemoved={() => {
              setRemoving(undefined);
              onChanged();
            }}
          />
        )}
      </Suspense>
    </>
  );
}
