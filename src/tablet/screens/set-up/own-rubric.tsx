import { useState } from "react";
import { checkedRubric } from "../../../belt-test/rubric/check.ts";
import { type Finding, pathText } from "../../../belt-test/rubric/finding.ts";
import type { Rubric } from "../../../belt-test/rubric/rubric.ts";
import rubricFindingsWords from "../../../words/en/rubric-findings.json" with { type: "json" };
import setUpWords from "../../../words/en/set-up.json" with { type: "json" };
import { FileKey } from "../../parts/file-key.tsx";
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { useSay } from "../../parts/use-say.ts";
import { shippedLibrary } from "../../session/use-library.ts";
import css from "./set-up.module.css";

interface Checked {
  file: string;
  findings: Finding[];
  /** Undefined while the file may not be used. */
  rubric: Rubric | undefined;
}

/** A rubric from a file: checked, explained, and taken only when it is sound. */
export function OwnRubric({ onTake }: { onTake: (rubric: Rubric) => void }) {
  const say = useSay(setUpWords);
  const sayFinding = useSay(rubricFindingsWords);
  const [checked, setChecked] = useState<Checked | { file: string; isJson: false }>();

  async function check(file: string, text: string) {
    let json: unknown;
    try {
      json = JSON.parse(text);
    } catch {
      return setChecked({ file, isJson: false });
    }
    setChecked({ file, ...checkedRubric(json, await shippedLibrary()) });
  }

  return (
    <section className={css.own}>
      <h3>{say("rubrics-own")}</h3>
      <p className={css.hint}>{say("rubrics-own-text")}</p>
      <FileKey accept=".json,application/json" onFile={(file, text) => void check(file, text)}>
        {say("rubrics-own-choose")}
      </FileKey>
      {checked && "isJson" in checked && (
        <Notice kind="urgent">{say("rubric-not-json", { file: checked.file })}</Notice>
      )}
      {checked && "findings" in checked && (
        <>
          <Notice
            kind={checked.rubric ? "plain" : "urgent"}
            keys={
              checked.rubric && (
                <Key
                  kind="ink"
                  onClick={() => {
                    if (checked.rubric) onTake(checked.rubric);
                    setChecked(undefined);
                  }}
                >
                  {say("rubric-take", { title: checked.rubric.title })}
                </Key>
              )
            }
          >
            {say(
              !checked.rubric
                ? "rubric-faults"
                : checked.findings.length > 0
                  ? "rubric-warnings"
                  : "rubric-sound",
              { file: checked.file, count: checked.findings.length },
            )}
          </Notice>
          {checked.findings.length > 0 && (
            <ul className={css.findings}>
              {checked.findings.map((finding) => {
                const path = pathText(finding.path);
                return (
                  <li key={`${finding.code} ${path} ${JSON.stringify(finding.with)}`}>
                    <code>{path || say("rubric-whole-file")}</code>
                    <span>{sayFinding(finding.code, finding.with)}</span>
                  </li>
                );
              })}
            </ul>
          )}
        </>
      )}
    </section>
  );
}
