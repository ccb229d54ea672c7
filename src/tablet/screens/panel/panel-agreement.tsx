import { ADJACENT_GOAL, type PanelReport } from "../../../belt-test/verdict/panel-report.ts";
import { agreementWord, RELIABLE, TENTATIVE } from "../../../ratings/agreement/agreement-word.ts";
import { iccForms } from "../../../ratings/agreement/intraclass.ts";
import panelWords from "../../../words/en/panel.json" with { type: "json" };
import { useSay } from "../../parts/use-say.ts";

/** How far the judges agree: a sentence first, the figures folded away for who knows them. */
export function PanelAgreement({ agreement }: { agreement: PanelReport["agreement"] }) {
  const say = useSay(panelWords);
  if ("reason" in agreement)
    return (
      <section aria-labelledby="panel-agreement">
        <h2 id="panel-agreement">{say("agreement")}</h2>
        <p>{say("agreement-few", { shared: agreement.shared, needed: agreement.needed })}</p>
      </section>
    );
  const { exact, adjacent, shared, alpha, icc } = agreement;
  const word = "value" in alpha ? agreementWord(alpha.value) : undefined;
  const isGood = adjacent >= ADJACENT_GOAL;
  const hundred = (share: number) => Math.round(100 * share);
  return (
    <section aria-labelledby="panel-agreement">
      <h2 id="panel-agreement">{say("agreement")}</h2>
      <p>
        {say("agreement-words", { exact: hundred(exact), adjacent: hundred(adjacent) })}{" "}
        {say(isGood ? "agreement-good" : "agreement-low")}
      </p>
      {word && (
        <p>
          {say("agreement-worth", {
            word: word.replace("-", "_"),
            reliable: RELIABLE,
            enough: TENTATIVE,
            isMasked: String(word === "too-little" && isGood),
          })}
        </p>
      )}
      <details>
        <summary>{say("figures")}</summary>
        <p className="quiet">{say("figures-about")}</p>
        <ul>
          <li>{say("figure-shared", { shared })}</li>
          <li>
            {"value" in alpha
              ? say("figure-alpha", { value: alpha.value })
              : say("figure-none", { name: "Krippendorff’s alpha" })}
          </li>
          {"reason" in icc ? (
            <li>{say("figure-none", { name: "ICC" })}</li>
          ) : (
            iccForms.map((form) => {
              const { value, low, high } = icc[form];
              return (
                <li key={form}>
                  {value === null || low === null || high === null
                    ? say("figure-none", { name: form })
                    : say("figure-icc", { form, value, low, high })}
                </li>
              );
            })
          )}
        </ul>
      </details>
    </section>
  );
}
