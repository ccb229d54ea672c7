import { lazy, Suspense, useEffect, useMemo, useRef, useState } from "react";
import { Link } from "react-router";
import type { CandidateId } from "../../../belt-test/identity.ts";
import { boardOf, type JudgeCall, judgeCalls } from "../../../belt-test/planning/judge-calls.ts";
import { calledIndex, waveScript } from "../../../belt-test/planning/wave-script.ts";
import type { Scorebook } from "../../../belt-test/scorebook/scorebook.ts";
import type { Step } from "../../../belt-test/script/script.ts";
import type { EntryId, PersonId } from "../../../book/identity.ts";
import judgeWords from "../../../words/en/judge.json" with { type: "json" };
import markingWords from "../../../words/en/marking.json" with { type: "json" };
import { readSettings } from "../../look/settings.ts";
import { Key } from "../../parts/key.tsx";
import { TopBand } from "../../parts/line/top-band.tsx";
import { useSteadyCall } from "../../parts/line/use-steady.ts";
import { pageAddress } from "../../parts/test-pages.ts";
import { useLasting } from "../../parts/use-lasting.ts";
import { useSay } from "../../parts/use-say.ts";
import { givenName, personName } from "../../session/names.ts";
import { useServices, useSession } from "../../session/services.tsx";
import { stepName } from "../../session/step-name.ts";
import { stopFloor } from "../../session/stop-floor.ts";
import { useLibrary } from "../../session/use-library.ts";
import { JudgeBoard } from "./judge-board.tsx";
import { JudgeHand } from "./judge-hand.ts";
import css from "./judge-screen.module.css";
import { useFollowing } from "./use-following.ts";
import { blanksOf, useJudgeWork } from "./use-judge-work.ts";
import { useMovedLanes } from "./use-moved-lanes.ts";

// What is behind a key comes with the app, and not before the board.
const loadCalls = async () => ({ default: (await import("./calls-dialog.tsx")).CallsDialog });
const loadWays = async () => ({ default: (await import("../../parts/role-links.tsx")).RoleLinks });
const loadMore = async () => ({ default: (await import("./more-dialog.tsx")).MoreDialog });
const loadAsked = async () => ({ default: (await import("./asked-dialog.tsx")).AskedDialog });
const loadSwaps = async () => ({ default: (await import("./swap-band.tsx")).SwapBand });
const loadRequests = async () => ({ default: (await import("./request-band.tsx")).RequestBand });
const CallsDialog = lazy(loadCalls);
const RequestBand = lazy(() => loadRequests().catch(() => ({ default: () => null })));
const RoleLinks = lazy(loadWays);
const MoreDialog = lazy(loadMore);
const AskedDialog = lazy(loadAsked);
const SwapBand = lazy(() => loadSwaps().catch(() => ({ default: () => null })));

/*
 * A judge, standing or at the table, tablet on one forearm; eyes on the children for the six counts, on the glass for the
 * eight seconds after. One thumb or finger. Nothing to type, nothing to scroll, nothing that moves by itself.
 */
export function JudgeScreen() {
  const { notebook } = useSession();
  const { nowMs } = useServices();
  const say = useSay(markingWords);
  const sayJudge = useSay(judgeWords);
  const library = useLibrary();
  const { book, pass } = notebook;
  const judge = pass.person as PersonId;
  const hand = useMemo(() => new JudgeHand(notebook, judge), [notebook, judge]);
  const settings = useRef(readSettings()).current;
  const [flipped, setFlipped] = useState(false);
  const [dialog, setDialog] = useState<"calls" | "more" | "asked">();
  const [goingTo, setGoingTo] = useState<EntryId>();
  // Here before the first tap on their keys; where they cannot be had now, they are asked for again then.
  useEffect(() => {
    for (const load of [loadCalls, loadWays, loadMore, loadAsked, loadSwaps, loadRequests])
      load().catch(() => undefined);
  }, []);

  const waves = book.plan.filledWaves;
  const floorWave = book.floor.currentCall?.body.wave ?? waves[0] ?? 1;
  const planOf = useMemo(() => plansOf(book, judge), [book, book.scriptVersion, judge]);
  const calledIn = (wave: number) => {
    const { steps, calls } = planOf(wave);
    const at = calledIndex(book, wave, steps);
    return calls.find(({ index }) => index === at);
  };
  const floorCall = calledIn(floorWave);
  const following = useFollowing({
    isAlone: notebook.link !== "live" || floorCall === undefined,
    callsOf: (wave) => planOf(wave).calls,
    calledIn,
    floorWave,
    count: notebook.news.count,
    isClosed: (call) => call.step.asked && blanksOf(book, judge, call) === 0,
    nowMs,
  });
  const { wave } = following;
  const { steps, calls } = planOf(wave);
  const liveIndex = calledIndex(book, wave, steps);
  /** What is called now, where its wave is on the glass. */
  const live = wave === floorWave ? floorCall : undefined;
  const isAlone = notebook.link !== "live" || liveIndex < 0;
  const { shown, next, beside, isEarlier } = following;
  const lanes = useMovedLanes(shown, wave);

  const who = (candidate: CandidateId) =>
    `${book.plan.entrant(candidate)?.number ?? ""} ${givenName(notebook, candidate)}`.trim();
  const calledName = (call: JudgeCall): string => {
    const { title, section } = stepName(book, call.step);
    if (call.part === "overall")
      return say("overall-of", { section: section.toLocaleLowerCase(say.locale) });
    if (title === undefined)
      return call.step.marking === "checklist"
        ? section
        : say("close-of", { section: section.toLocaleLowerCase(say.locale) });
    return call.step.side ? `${title}, ${sayJudge(call.step.side)}` : title;
  };
  /** With the children where there are others beside them. */
  const nameOf = (call: JudgeCall): string =>
    [
      calledName(call),
      ...(call.watched.length < call.all.length ? call.watched.map(who) : []),
    ].join(" · ");

  const reached = Math.max(liveIndex, shown?.index ?? -1);
  const work = useJudgeWork({ notebook, judge, steps, calls, reached, shown });
  const { open, openBlanks, asks, conflicts } = work;
  const isShownSection = ({ section }: { section: JudgeCall["step"]["section"] }) =>
    section === shown?.step.section;
  // On the board of an earlier call its own section, and no other.
  const lockable = isEarlier ? work.lockable.find(isShownSection) : work.lockable[0];
  const openedWithout = work.sections.find(isShownSection)?.openedWithout ?? [];
  const ask = asks[0];
  const isAbout = (one: JudgeCall | undefined): boolean =>
    one !== undefined &&
    ask !== undefined &&
    one.part === "cells" &&
    one.step.section === ask.body.section &&
    one.watched.includes(ask.body.candidate) &&
    (one.step.marking === "checklist" ||
      (one.step.item === ask.body.item && one.step.markedSide === ask.body.side));
  // The wave of a request is drawn first, then its board opened.
  const goal = goingTo && goingTo === ask?.id ? calls.find(isAbout) : undefined;
  useEffect(() => {
    if (!goal) return;
    setGoingTo(undefined);
    following.open(goal);
  }, [goal, following.open]);
  const sectionTitle = (section: JudgeCall["step"]["section"]) => {
    const step = steps.find((one) => one.section === section);
    return step ? stepName(book, step).section : section;
  };
  // With no caller in reach the judge steps on alone: the next call of the script waits as the card. Of the call on the floor other children may wait on a board beside this one.
  const position = shown ? calls.indexOf(shown) : -1;
  const ownNext = next || position < 0 ? undefined : isAlone ? calls[position + 1] : beside;
  const name = shown ? stepName(book, shown.step) : undefined;
  const place = shown?.watched[0] !== undefined ? book.plan.rubricOf(shown.watched[0]) : undefined;
  const item = place?.sections
    .find(({ id }) => id === shown?.step.section)
    ?.items.find(({ id }) => id === shown?.step.item);
  const isSeated = book.plan.seat(judge)?.roles.includes("judge");
  const isLive = shown !== undefined && live !== undefined && shown.index === live.index;

  const stop = useSteadyCall(() => void stopFloor(notebook));
  const flip = useSteadyCall(() => setFlipped(!flipped));
  const openCalls = useSteadyCall(() => setDialog("calls"));
  // A wave that is planned already stands on the glass, and what is shown to all judges must be found beside it; after the first call nobody marks it any more.
  const anchorWaits =
    book.floor.calls.length === 0 &&
    book.standards.anchors.some(
      ({ anchor }) => book.standards.anchorMarks(anchor, judge).length === 0,
    );
  const takeNext = useSteadyCall(() =>
    next ? following.takeNext() : ownNext && (isAlone ? following.stepOn : following.open)(ownNext),
  );
  const backToNow = useSteadyCall(() => following.backToNow());
  // Nothing goes that is not seen to go: the board on which it stood comes on the glass.
  const undo = useSteadyCall(() => {
    if (!shown) return;
    following.touched();
    const boards = [wave, ...waves].flatMap((of) => planOf(of).calls.map((call) => ({ of, call })));
    const at = hand.undo(shown, (word) =>
      boardOf([shown, ...boards.map(({ call }) => call)], word),
    );
    const board = boards.find(({ call }) => call === at);
    if (at !== shown && board) following.open(board.call, board.of);
  });
  // The open underline of the newest mark says it at once; the band only speaks of a disk that takes its time.
  const isSlow = useLasting(notebook.unkept > 0, 300);

  return (
    <main className={css.root} data-hand={settings.hand}>
      <TopBand
        title={
          shown
            ? shown.part === "overall"
              ? calledName(shown)
              : (name?.title ?? calledName(shown))
            : say("nobody-called")
        }
        alias={shown?.part === "cells" ? name?.alias : undefined}
        script={shown?.part === "cells" ? name?.script : undefined}
        side={shown?.part === "cells" ? shown.step.side : null}
        counts={
          isLive && item && !isAlone
            ? {
                done: Math.min(notebook.news.count, item.counts),
                total: item.counts,
                running: notebook.news.count > 0 && notebook.news.count < item.counts,
              }
            : undefined
        }
        saved={notebook.fault ? "waiting" : isSlow ? "saving" : "saved"}
        heldHere={pass.token && notebook.link !== "live" ? notebook.outbox.unsent : undefined}
        stillOpen={
          open[0] && openBlanks > 0
            ? { call: nameOf(open[0]), calls: open.length, blank: openBlanks }
            : undefined
        }
        next={
          next
            ? live
              ? nameOf(next)
              : `${say("wave", { wave: floorWave })} · ${nameOf(next)}`
            : ownNext
              ? nameOf(ownNext)
              : undefined
        }
        earlier={isEarlier}
        ahead={notebook.link === "live" && shown !== undefined && shown.index > liveIndex}
        flipped={flipped}
        handed={settings.hand}
        onStop={stop}
        onFlip={flip}
        onNext={takeNext}
        onBackToNow={backToNow}
        onCalls={openCalls}
      />
      {(lanes.moved.length > 0 || waves.some((one) => book.plan.laneWords(one).length > 1)) && (
        <Suspense>
          <SwapBand judge={judge} hand={hand} wave={wave} lanes={lanes} who={who} />
        </Suspense>
      )}
      {lockable && (
        <Key
          kind="ink"
          under={say("lock-now-hint")}
          onClick={() => hand.lock(lockable.section, lockable.unlocked)}
        >
          {say("lock-now", {
            section: sectionTitle(lockable.section).toLocaleLowerCase(say.locale),
          })}
        </Key>
      )}
      {anchorWaits && (
        <Link className={css.judgeAsk} to={pageAddress(pass.grading, "own")}>
          {say("anchor-open")}
        </Link>
      )}
      {ask && (
        <Suspense>
          <RequestBand
            notebook={notebook}
            ask={ask}
            more={asks.length - 1}
            isShown={isAbout(shown)}
            onShow={() => {
              following.look(book.plan.waveOf(ask.body.candidate) ?? wave);
              setGoingTo(ask.id);
            }}
            onDone={() => hand.answered(ask)}
          />
        </Suspense>
      )}
      {!ask && conflicts > 0 && (
        <p className={css.judgeAsk} role="status">
          {`${say("conflicts", { count: conflicts })}. ${say("conflicts-next")}`}
        </p>
      )}
      {shown && openedWithout.length > 0 && (
        <p className={css.judgeAsk} role="status">
          {say("opened-without", { who: openedWithout.map(who).join(", ") })}
        </p>
      )}
      {shown && shown.watched.length > 0 ? (
        <JudgeBoard
          notebook={notebook}
          version={notebook.version}
          judge={judge}
          hand={hand}
          call={shown}
          wave={wave}
          library={library}
          handed={settings.hand}
          largeTargets={settings.targets === "large"}
          flipped={flipped}
          onTouch={following.touched}
          onUndo={undo}
        />
      ) : (
        <section className={css.atEase} aria-live="polite">
          {shown ? (
            <>
              <h2>{say("not-watching")}</h2>
              <p>
                {book.plan.hasBeen(judge, "judge") && !isSeated
                  ? say("taken-out")
                  : work.sections.length > 0
                    ? say("not-watching-whom", {
                        who: shown.step.candidates.map(who).join(", "),
                        yours: [...new Set(calls.flatMap(({ watched }) => watched))]
                          .map(who)
                          .join(", "),
                      })
                    : book.panel.successor(judge) !== judge
                      ? say("places-given", {
                          name: personName(notebook, book.panel.successor(judge)) ?? say("another"),
                        })
                      : say("not-watching-none")}
              </p>
            </>
          ) : (
            <>
              <h2>{say("nobody-called")}</h2>
              <p>
                {say(
                  book.panel.assignments.some((assigned) => assigned.judge === judge)
                    ? "nobody-called-next"
                    : "nothing-assigned",
                )}
              </p>
            </>
          )}
        </section>
      )}
      {dialog === "calls" && (
        <Suspense>
          <CallsDialog
            wave={wave}
            waves={waves}
            links={
              <RoleLinks
                grading={pass.grading}
                roles={pass.roles}
                waiting={notebook.news.waiting.length}
              />
            }
            calls={calls}
            shown={shown}
            firstOpen={openBlanks > 0 ? open[0] : undefined}
            live={live}
            reached={reached}
            work={work.sections}
            nameOf={nameOf}
            blanksOf={(call) => blanksOf(book, judge, call)}
            sectionTitle={sectionTitle}
            onWave={following.look}
            onOpen={(call) => {
              following.open(call);
              setDialog(undefined);
            }}
            onLock={(section, candidates) => hand.lock(section, candidates)}
            onAsked={() => setDialog("asked")}
            onMore={() => setDialog("more")}
            onClose={() => setDialog(undefined)}
          />
        </Suspense>
      )}
      {dialog === "asked" && shown && (
        <Suspense>
          <AskedDialog
            call={shown}
            nameOf={nameOf}
            who={who}
            onClose={() => setDialog(undefined)}
          />
        </Suspense>
      )}
      {dialog === "more" && shown && (
        <Suspense>
          <MoreDialog
            who={who}
            candidates={shown.all}
            judge={judge}
            hand={hand}
            wave={wave}
            call={shown}
            onClose={() => setDialog(undefined)}
          />
        </Suspense>
      )}
    </main>
  );
}

/** What a judge could be shown, wave by wave; each is made once. */
function plansOf(book: Scorebook, judge: PersonId) {
  const plans = new Map<number, { steps: readonly Step[]; calls: readonly JudgeCall[] }>();
  return (wave: number) => {
    let plan = plans.get(wave);
    if (!plan) {
      const steps = waveScript(book, wave);
      plans.set(wave, (plan = { steps, calls: judgeCalls(book, judge, steps) }));
    }
    return plan;
  };
}
