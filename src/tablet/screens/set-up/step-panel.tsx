import { type FormEvent, useState } from "react";
import type { Role } from "../../../belt-test/kinds/body-parts.ts";
import type { Seat } from "../../../belt-test/scorebook/plan.ts";
import setUpWords from "../../../words/en/set-up.json" with { type: "json" };
import { listed } from "../../../words/listed.ts";
import { Key } from "../../parts/key.tsx";
import { SelectField } from "../../parts/select-field.tsx";
import { TextField } from "../../parts/text-field.tsx";
import { useSay } from "../../parts/use-say.ts";
import { personName } from "../../session/names.ts";
import { giveRoles } from "../../session/roles-at-door.ts";
import { useServices } from "../../session/services.tsx";
import type { TakeBack } from "./plan-hand.ts";
import css from "./set-up.module.css";
import { UnseatDialog } from "./unseat-dialog.tsx";
import type { Plan } from "./use-plan.ts";

const groups = ["judge", "caller", "desk", "chief"] as const satisfies readonly Role[];

/** Who judges, calls, and checks in, by name. */
export function StepPanel({ plan: { notebook, hand, did } }: { plan: Plan }) {
  const say = useSay(setUpWords);
  const { book } = notebook;
  const [name, setName] = useState("");
  const [role, setRole] = useState<Role>("judge");
  const [isTried, setTried] = useState(false);
  const trimmed = name.trim();
  const fault =
    trimmed === ""
      ? say("needed")
      : trimmed.length > 80
        ? say("too-long", { limit: 80 })
        : undefined;
  // Rubrics that ask for the same number share a sentence, the most demanding first.
  const quorums = [...new Set(book.plan.rubrics.map(({ panel }) => panel.quorum))].sort(
    (a, b) => b - a,
  );
  const quorumNote = (quorum: number) => {
    const titles = book.plan.rubrics.flatMap(({ panel, title }) =>
      panel.quorum === quorum ? [say("quorum-rubric", { title })] : [],
    );
    return say("quorum-note", {
      rubrics: listed(titles, say.locale),
      count: titles.length,
      quorum,
    });
  };

  function submit(event: FormEvent) {
    event.preventDefault();
    setTried(true);
    if (fault) return;
    void did(hand.seatNew(trimmed, [role]), say("did-seat", { name: trimmed }));
    setName("");
    setTried(false);
  }

  return (
    <>
      <p className={css.intro}>{[say("panel-intro"), ...quorums.map(quorumNote)].join(" ")}</p>
      <form className={css.seat} noValidate onSubmit={submit}>
        <TextField
          label={say("panel-name")}
          value={name}
          fault={isTried ? fault : undefined}
          onChange={setName}
        />
        <SelectField
          label={say("panel-role")}
          value={role}
          options={(["judge", "caller", "desk"] as const).map((value) => ({
            value,
            label: say(`role-${value}`),
          }))}
          onChange={setRole}
        />
        <Key kind="firm" type="submit">
          {say("panel-add")}
        </Key>
      </form>
      {groups.map((group) => {
        const seats = book.plan.seats.filter(({ roles }) => mainRole(roles) === group);
        return (
          <section key={group} className={css.group}>
            <h3>{say(`role-group-${group}`)}</h3>
            {seats.length === 0 && <p className={css.hint}>{say("nobody")}</p>}
            <ol>
              {seats.map((seat) => (
                <SeatRow key={seat.person} seat={seat} plan={{ notebook, hand, did }} />
              ))}
            </ol>
          </section>
        );
      })}
      <TakenOut plan={{ notebook, hand, did }} />
    </>
  );
}

/** Whoever was taken out, to be seated again as what they were: by a new seat of the same name their tablet would belong to nobody. */
function TakenOut({
  plan: { notebook, hand, did },
}: {
  plan: Pick<Plan, "notebook" | "hand" | "did">;
}) {
  const say = useSay(setUpWords);
  const reseat = useReseat({ notebook, hand, did });
  const { plan } = notebook.book;
  const gone = plan.seats.flatMap((seat) => {
    const role = groups.find((one) => plan.hasBeen(seat.person, one));
    return seat.roles.length === 0 && role ? [{ seat, role }] : [];
  });
  if (gone.length === 0) return null;
  return (
    <section className={css.group}>
      <h3>{say("role-group-out")}</h3>
      <ol>
        {gone.map(({ seat, role }) => {
          const name = personName(notebook, seat.person) ?? say("somebody");
          return (
            <li key={seat.person}>
              <span className={css.name}>{name}</span>
              <div className={css.keys}>
                <Key
                  kind="quiet"
                  aria-label={say("seat-again-named", { name })}
                  onClick={() => void reseat(seat, [role], say("did-seat-again", { name }))}
                >
                  {say("seat-again", { role: say(`role-${role}`) })}
                </Key>
              </div>
            </li>
          );
        })}
      </ol>
    </section>
  );
}

/** Under which heading somebody with several roles stands. */
const mainRole = (roles: readonly Role[]): Role | undefined =>
  (["chief", "judge", "caller", "desk"] as const).find((role) => roles.includes(role));

/** Other roles for somebody, in the plan and at the door: a tablet that is in goes by what the door says. */
function useReseat({ notebook, hand, did }: Pick<Plan, "notebook" | "hand" | "did">) {
  const services = useServices();
  const say = useSay(setUpWords);
  return async (seat: Seat, roles: Role[], words: string): Promise<void> => {
    const { person } = seat;
    const back = await hand.reseat(seat, roles);
    const isGiven = await giveRoles(services, notebook, person, roles);
    const takeBack: TakeBack = async () => {
      await back();
      await giveRoles(services, notebook, person, seat.roles);
    };
    const name = personName(notebook, person) ?? say("somebody");
    const said = isGiven ? words : `${words} ${say("did-roles-door", { name })}`;
    await did(Promise.resolve(takeBack), said);
  };
}

function SeatRow({
  seat,
  plan: { notebook, hand, did },
}: {
  seat: Seat;
  plan: Pick<Plan, "notebook" | "hand" | "did">;
}) {
  const say = useSay(setUpWords);
  const name = personName(notebook, seat.person) ?? say("somebody");
  const isChief = seat.roles.includes("chief");
  const reseat = useReseat({ notebook, hand, did });
  const [isLeaving, setLeaving] = useState(false);
  const has = (role: Role) => seat.roles.includes(role);
  const toggle = (role: Role) =>
    void reseat(
      seat,
      has(role) ? seat.roles.filter((one) => one !== role) : [...seat.roles, role],
      say("did-roles", { name }),
    );
  const takeOut = () => void reseat(seat, [], say("did-unseat", { name }));
  const isMarking =
    notebook.book.plan.isStarted &&
    has("judge") &&
    notebook.book.panel.assignments.some(
      ({ judge, candidates }) =>
        notebook.book.panel.successor(judge) === seat.person && candidates.length > 0,
    );
  return (
    <li>
      <span className={css.name}>{name}</span>
      <div className={css.keys}>
        {isChief && (
          <Key
            kind="quiet"
            pressed={has("judge")}
            aria-label={say("also-judge-named", { name })}
            onClick={() => toggle("judge")}
          >
            {say("also-judge")}
          </Key>
        )}
        {(isChief || has("desk")) && (
          <Key
            kind="quiet"
            pressed={has("caller")}
            aria-label={say("also-calls-named", { name })}
            onClick={() => toggle("caller")}
          >
            {say("also-calls")}
          </Key>
        )}
        {!isChief && (
          <Key
            kind="quiet"
            aria-label={say("unseat-named", { name })}
            onClick={() => (isMarking ? setLeaving(true) : takeOut())}
          >
            {say("unseat")}
          </Key>
        )}
      </div>
      {isLeaving && (
        <UnseatDialog
          notebook={notebook}
          name={name}
          seat={seat}
          onClose={() => setLeaving(false)}
          onTakeOut={() => {
            setLeaving(false);
            takeOut();
          }}
          onGiveOver={(to, successor) => {
            setLeaving(false);
            void did(hand.giveOver(seat, to), say("did-give", { name: successor, before: name }));
          }}
        />
      )}
    </li>
  );
}
