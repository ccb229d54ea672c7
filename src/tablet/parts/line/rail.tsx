import type { ReactNode } from "react";
import judgeWords from "../../../words/en/judge.json" with { type: "json" };
import { Key } from "../key.tsx";
import { useSay } from "../use-say.ts";
import type { FaultKey } from "./board-data.ts";
import css from "./rail.module.css";

interface RailProps {
  /** Whose cell the faults speak of: "14 Mia" over "extension". */
  caption: { who: string; what: string } | null;
  /** What an undo took away, in words. */
  undone: string | null;
  faults: readonly FaultKey[];
  /** The foot of the chosen child, where lanes stand in two ranks and have none of their own. */
  child: ReactNode;
  /** The closing key; null where nothing may be filled at once. */
  rest: string | null;
  blank: number;
  /** Nothing is blank any more: says so in place of the closing key. */
  done: "allMarked" | "locked" | null;
  onFault: (fault: string) => void;
  onUndo: () => void;
  /** Whether there is anything to take back; looked at a moment after a tap, so the key is never dead to a finger. */
  mayUndo: boolean;
  onRest: () => void;
}

/** The bottom rail. Every key has its place whether or not it is there. */
export function Rail(props: RailProps) {
  const { caption, undone, faults, rest, blank, done } = props;
  const say = useSay(judgeWords);
  return (
    <div className={css.root}>
      <Key
        kind="firm"
        className={css.undo}
        aria-disabled={!props.mayUndo || undefined}
        onClick={props.onUndo}
      >
        {say("undo")}
      </Key>
      <p className={css.caption} aria-live="polite">
        {undone !== null ? (
          <span>{undone}</span>
        ) : (
          caption && (
            <>
              <strong>{caption.who}</strong>
              <span>{caption.what}</span>
            </>
          )
        )}
      </p>
      <fieldset
        className={css.faults}
        aria-label={caption ? `${caption.who}, ${caption.what}` : undefined}
        aria-hidden={faults.length === 0 || undefined}
      >
        {faults.slice(0, 4).map(({ id, label, on }) => (
          <Key key={id} pressed={on} onClick={() => props.onFault(id)}>
            {label}
          </Key>
        ))}
      </fieldset>
      {props.child && <div className={css.child}>{props.child}</div>}
      {done || rest === null ? (
        <p className={`${css.rest} ${css.allMarked}`} data-blank={!done || undefined} role="status">
          {done ? say(done) : blank > 0 && say("blankCount", { count: blank })}
        </p>
      ) : (
        <Key
          kind="seal"
          className={css.rest}
          disabled={blank === 0}
          under={say("blankCount", { count: blank })}
          onClick={props.onRest}
        >
          {rest}
        </Key>
      )}
    </div>
  );
}
