import { useState } from "react";
import { mayTakeOver } from "../../../belt-test/scorebook/may-take-over.ts";
import type { Seat } from "../../../belt-test/scorebook/plan.ts";
import type { PersonId } from "../../../book/identity.ts";
import setUpWords from "../../../words/en/set-up.json" with { type: "json" };
import { Dialog } from "../../parts/dialog.tsx";
import { Key } from "../../parts/key.tsx";
import { SelectField } from "../../parts/select-field.tsx";
import { TextField } from "../../parts/text-field.tsx";
import { useSay } from "../../parts/use-say.ts";
import { personName } from "../../session/names.ts";
import type { Notebook } from "../../session/notebook.ts";
import { workState } from "../../session/work-state.ts";
import css from "./set-up.module.css";

interface UnseatDialogProps {
  notebook: Notebook;
  name: string;
  seat: Seat;
  onGiveOver: (to: PersonId | { name: string }, name: string) => void;
  onTakeOut: () => void;
  onClose: () => void;
}

/** A judge who marks goes in the middle of a test: who takes the places, or that nobody does. */
export function UnseatDialog(props: UnseatDialogProps) {
  const { notebook, name, seat, onGiveOver, onTakeOut, onClose } = props;
  const say = useSay(setUpWords);
  const { book } = notebook;
  const [by, setBy] = useState<PersonId | "">("");
  const [newName, setNewName] = useState("");
  const [isTried, setTried] = useState(false);
  const nameOf = (person: PersonId) => personName(notebook, person) ?? say("somebody");
  // Whoever marks has places of their own.
  const isFree = ({ person, roles }: Seat) =>
    roles.includes("judge") &&
    person !== seat.person &&
    mayTakeOver(book, seat.person, person, (...of) => workState(notebook, ...of) === "locked") &&
    !book.panel.assignments.some(
      ({ judge, candidates }) => book.panel.successor(judge) === person && candidates.length > 0,
    );
  const free = book.plan.seats.filter(isFree);
  const typed = newName.trim();
  const fault =
    typed.length > 80
      ? say("too-long", { limit: 80 })
      : by === "" && typed === ""
        ? say("needed")
        : undefined;
  function give() {
    setTried(true);
    if (fault) return;
    if (by === "") onGiveOver({ name: typed }, typed);
    else onGiveOver(by, nameOf(by));
  }
  return (
    <Dialog
      open
      title={say("unseat-title", { name })}
      closeWord={say("unseat-keep")}
      onClose={onClose}
      keys={
        <>
          <Key onClick={onTakeOut}>{say("unseat-nobody")}</Key>
          <Key kind="ink" onClick={give}>
            {say("unseat-give")}
          </Key>
        </>
      }
    >
      <p>{say("unseat-text")}</p>
      {free.length > 0 && (
        <SelectField
          label={say("unseat-by")}
          none={say("unseat-by-new")}
          value={by}
          options={free.map(({ person }) => ({ value: person, label: nameOf(person) }))}
          onChange={setBy}
        />
      )}
      {by === "" && (
        <TextField
          label={say("unseat-new")}
          value={newName}
          fault={isTried ? fault : undefined}
          onChange={setNewName}
        />
      )}
      <p className={css.hint}>{say("unseat-nobody-text")}</p>
    </Dialog>
  );
}
