import { lazy, Suspense } from "react";
import type { Sheet } from "../../belt-test/feedback/sheet.ts";
import type { Rubric } from "../../belt-test/rubric/rubric.ts";
import sheetWords from "../../words/en/sheet.json" with { type: "json" };
import sheetsWords from "../../words/en/sheets.json" with { type: "json" };
import { sheetPageWords } from "../../words/sheet-page-words.ts";
import { Belt } from "../parts/belt.tsx";
import { Seal } from "../parts/seal.tsx";
import { useSay } from "../parts/use-say.ts";
import { ProfileWords } from "./profile-words.tsx";
import css from "./sheet-page.module.css";
import { useOnePage } from "./use-one-page.ts";

/** More things to repeat than these stand in two columns. */
const MANY = 4;
/** Letters of a name that still fit on one line in the usual size. */
const LONG_NAME = 26;

const ProfileChart = lazy(async () => ({
  default: (await import("./profile-chart.tsx")).ProfileChart,
}));

export interface SheetPageProps {
  sheet: Sheet;
  /** The school's name for the day. */
  title: string;
  number: number;
  name: string;
  chief: string;
  scale: Rubric["scale"];
  /** A sentence of the chief's own. */
  words: string | undefined;
  needsPartner: boolean;
  /** Not paper, where a page has a length: as long as its words. */
  isOnGlass?: boolean;
}

/*
 * A child or a grown-up reads this at home, with a parent, the belt still in the hand; and again, pinned to a wall, before practice.
 * One page, ink on white. A child's has words and the seal, and no number but the one worn on the day.
 */
export function SheetPage(props: SheetPageProps) {
  const { sheet, title, number, name, chief, scale, words, needsPartner, isOnGlass } = props;
  const saySheet = useSay(sheetWords);
  const say = useSay(sheetsWords);
  const page = useOnePage();
  const text = sheetPageWords(sheet, saySheet);
  const { retest } = text;
  const hasLines = sheet.strong.length + sheet.next.length > 0;
  // Where much is to be repeated the page is about that: the drawing gives way to its words.
  const isFull = (retest?.practise.length ?? 0) > MANY;
  return (
    <article
      className={css.root}
      ref={page}
      data-audience={sheet.audience}
      data-result={sheet.result}
      data-glass={isOnGlass || undefined}
    >
      <header className={css.head}>
        <p>{title}</p>
        <p>{text.gradedOn}</p>
      </header>
      <div className={css.who}>
        <h1 data-long={name.length > LONG_NAME || undefined}>
          <span className={css.number}>{number}</span> {name}
        </h1>
        <p className={css.belts}>
          <Belt belt={sheet.from.belt} />
          <span>{say("page-belts-to")}</span>
          <Belt belt={sheet.to.belt} />
        </p>
      </div>
      <div className={css.result}>
        <p>{text.result}</p>
        {(sheet.result === "pass" || sheet.result === "retest") && <Seal size={74} />}
      </div>
      <div className={css.body} hidden={text.strong.length + text.next.length === 0 && !retest}>
        {text.strong.length > 0 && (
          <section>
            <h2>{text.strongHeading}</h2>
            <Lines lines={text.strong} />
          </section>
        )}
        {text.next.length > 0 && (
          <section>
            <h2>{text.nextHeading}</h2>
            <Lines lines={text.next} />
          </section>
        )}
        {/* In a retest the practice stands beside the section it is for. */}
        {text.task && !retest && (
          <section>
            <h2>{text.task.heading}</h2>
            <p>{text.task.text}</p>
          </section>
        )}
        {retest && (
          <section>
            <h2>{retest.heading}</h2>
            <p className={css.firm}>{retest.repeat}</p>
            {retest.kept && <p>{retest.kept}</p>}
            <p>
              {retest.from} {retest.keptUntil}
            </p>
            <ul className={css.practise} data-many={isFull || undefined}>
              {retest.practise.map((line) => (
                <li key={line}>{line}</li>
              ))}
            </ul>
          </section>
        )}
        {sheet.audience === "adult" && sheet.profile.some(({ percent }) => percent !== null) && (
          <section>
            <h2>{saySheet("heading.profile")}</h2>
            {!isFull && (
              <Suspense fallback={<span className={css.chartRoom} />}>
                <ProfileChart profile={sheet.profile} scale={scale} />
              </Suspense>
            )}
            <ProfileWords profile={sheet.profile} scale={scale} />
          </section>
        )}
      </div>
      <footer className={css.foot}>
        {needsPartner && <p className={css.safety}>{say(`page-partner-${sheet.audience}`)}</p>}
        {words && (
          <p className={css.own}>
            <span>{say("page-own")}</span> {words}
          </p>
        )}
        <div className={css.signatures}>
          {retest && <p>{say("page-helps")}</p>}
          <p>
            {say("page-signature")} <b>{chief}</b>
          </p>
        </div>
        {hasLines && <p className={css.traced}>{say(words ? "page-traced-but" : "page-traced")}</p>}
      </footer>
    </article>
  );
}

function Lines({ lines }: { lines: readonly string[] }) {
  return lines.length > 1 ? (
    <ul>
      {lines.map((line) => (
        <li key={line}>{line}</li>
      ))}
    </ul>
  ) : (
    <p>{lines[0]}</p>
  );
}
