import type { CSSProperties } from "react";
import { meetsLevelAt } from "../../../belt-test/rubric/lookup.ts";
import type { Section } from "../../../belt-test/rubric/rubric.ts";
import { levelInWords, shortName, type Told } from "../../in-words/question-in-words.ts";
import { LevelGlyph } from "../../parts/level-glyph.tsx";
import css from "./candidate.module.css";
import { type CellOfAll, levelAt, type Thread } from "./candidate-cells.ts";

/** One cell: a thread a judge, hung left or right of the line, and the panel mark as a seal stroke through them. */
export function CandidateThreads({
  told,
  section,
  cell,
}: {
  told: Told;
  section: Section;
  cell: CellOfAll;
}) {
  const { say, rubric } = told;
  const { place, threads, panel, isPlain } = cell;
  const meets = meetsLevelAt(rubric, section);
  const line = { "--meets": `${levelAt(meets, rubric, section)}%` } as CSSProperties;
  const [first] = threads;
  if (isPlain && first) {
    const areBeads = threads.every(({ how }) => how === "rest");
    return (
      <ul className={css.threads} style={line}>
        <li className={css.thread} data-plain="">
          <span className={css.threadName}>
            {say("all-same", {
              count: threads.length,
              level: levelInWords(told, first.level, place.criterion),
            })}
          </span>
          <Track>{glyph({ level: first.level, how: areBeads ? "rest" : "tapped" })}</Track>
        </li>
      </ul>
    );
  }
  return (
    <ul className={css.threads} style={line}>
      {threads.map((thread) => (
        <li
          key={thread.judge}
          className={css.thread}
          data-struck={thread.isStruck || undefined}
          data-unused={
            (!thread.isStruck && thread.level !== "not-seen" && !thread.isUsed) || undefined
          }
        >
          <span className={css.threadName}>{shortName(told, thread.judge)}</span>
          <Track>{glyph(thread)}</Track>
          <span className="unseen">{words(thread)}</span>
        </li>
      ))}
      {threads.length === 0 && <li className={css.threadNone}>{say("panel-mark-none")}</li>}
      {panel && threads.length > 0 && (
        <li className={css.panelStroke}>
          <span style={{ left: `${levelAt(panel.level, rubric, section)}%` }} />
          <span className="unseen">
            {say("panel-mark", { level: Math.round(panel.level * 100) / 100 })}
          </span>
        </li>
      )}
    </ul>
  );

  function words({ level, how, isStruck, isUsed, isLate }: Thread): string {
    const word = levelInWords(told, level, place.criterion);
    return [
      how === "rest" ? say("beads", { level: word }) : word,
      ...(isStruck ? [say("struck")] : []),
      ...(isLate ? [say("not-locked")] : []),
      ...(isStruck || isUsed || isLate || level === "not-seen" ? [] : [say("not-used")]),
    ].join(", ");
  }

  function glyph({ level, how }: Pick<Thread, "level" | "how">) {
    if (level === "not-seen")
      return (
        <span className={css.threadDot} style={{ left: "var(--meets)" }}>
          <LevelGlyph level="not-seen" meetsLevel={meets} size={22} />
        </span>
      );
    const at = levelAt(level, rubric, section);
    const from = levelAt(meets, rubric, section);
    return (
      <>
        {level !== meets && (
          <span
            className={css.threadLine}
            style={{ left: `${Math.min(at, from)}%`, width: `${Math.abs(at - from)}%` }}
          />
        )}
        <span className={css.threadDot} style={{ left: `${at}%` }}>
          <LevelGlyph level={level} meetsLevel={meets} size={how === "rest" ? 11 : 22} />
        </span>
      </>
    );
  }
}

function Track({ children }: { children: React.ReactNode }) {
  return (
    <span className={css.threadTrack} aria-hidden="true">
      {children}
    </span>
  );
}
