// The chief examiner at home before a test, or in the hall before the first wave; ten minutes, seated.
import { Link } from "react-router";
import anchorsWords from "../../../words/en/anchors.json" with { type: "json" };
import { CheckField } from "../../parts/check-field.tsx";
import { keyLook } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { PageBand } from "../../parts/page-band.tsx";
import { pageAddress } from "../../parts/test-pages.ts";
import { useSay } from "../../parts/use-say.ts";
import { useNotebook } from "../../session/services.tsx";
import { WayAround } from "../../session/way-around.tsx";
import { AnchorForm } from "./anchor-form.tsx";
import { AnchorNew } from "./anchor-new.tsx";
import css from "./anchors.module.css";
import { EarlierTests } from "./earlier-tests.tsx";

export function AnchorsScreen() {
  const notebook = useNotebook();
  const say = useSay(anchorsWords);
  const { book, pass } = notebook;
  const used = book.standards.severitiesUsed;
  // As the hub has it: after the first call it takes nothing more of them.
  const isLate = book.floor.calls.length > 0;
  return (
    <>
      <PageBand title={say("title")} about={say("about")} keys={<WayAround />} />
      <main className={css.page}>
        <p>
          <Link {...keyLook} to={pageAddress(pass.grading, "panel")}>
            {say("to-panel")}
          </Link>
        </p>
        <section aria-labelledby="agreed">
          <h2 id="agreed">{say("agreed")}</h2>
          {isLate ? (
            <Notice>{say(book.standards.anchors.length > 0 ? "late" : "late-none")}</Notice>
          ) : (
            <p>{say("agreed-text")}</p>
          )}
          {book.standards.anchors.map((one) => (
            <AnchorForm key={one.anchor} its={one} isLate={isLate} />
          ))}
          {!isLate && <AnchorNew />}
          {(book.standards.anchors.length > 0 || used.anchors || !isLate) && (
            <>
              <CheckField
                label={say("use")}
                checked={used.anchors}
                onChange={(anchors) => void notebook.write("severities-used", { ...used, anchors })}
              />
              <p className="quiet">{say("use-warning")}</p>
            </>
          )}
        </section>
        <EarlierTests />
      </main>
    </>
  );
}
