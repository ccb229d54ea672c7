import { act, screen } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { describe, expect, it } from "vitest";
import type { DeviceId, PersonId } from "../../../src/book/identity.ts";
import { FurtherDevices } from "../../../src/tablet/screens/frame/further-devices.tsx";
import { furtherDevicesToTell } from "../../../src/tablet/session/further-devices-told.ts";
import { Notebook } from "../../../src/tablet/session/notebook.ts";
import { anEntryId, aPen } from "../../builders/a-pen.ts";
import { aSession } from "../../builders/a-session.tsx";
import { aTestDay } from "../../builders/a-test-day.ts";
import { settle } from "../../builders/settle.ts";

const aLetIn = (device: string, more: { by?: string; agreed?: boolean; person?: string } = {}) => {
  const { by = "second", agreed, person = "judge-1" } = more;
  return aPen("chief", `door-${anEntryId()}`).write("let-in", {
    person: person as PersonId,
    device: device as DeviceId,
    decidedBy: by as PersonId,
    ...(agreed ? { agreed } : {}),
  });
};
const { plan } = aTestDay();
const told = /Another tablet was let in as you at .* by the chief examiner\./;

describe("a further tablet under one's name", () => {
  it("[Y190] is told on that person's tablets until they say that it was them, and stays told off", async () => {
    const line = aLetIn("spare");
    const mine = await aSession("judge-1", ["judge"], [...plan, line]);
    mine.show(<FurtherDevices />);
    expect(screen.getByText(told)).toBeTruthy();
    expect(screen.getByText("Not you? Say so to the chief examiner at the table.")).toBeTruthy();
    await userEvent.click(screen.getByRole("button", { name: "That was me" }));
    await settle();
    expect(screen.queryByText(told)).toBeNull();
    const { store, pass } = mine.notebook;
    const again = await Notebook.open({
      store,
      pass: (await store.pass(pass.grading)) ?? pass,
      makeId: anEntryId,
      nowMs: Date.now,
    });
    expect(furtherDevicesToTell(again)).toEqual([]);
    const next = aLetIn("third");
    act(() => mine.notebook.take([next], []));
    expect(furtherDevicesToTell(mine.notebook).map(({ id }) => id)).toEqual([next.id]);
  });

  it("[Y190] says on the tablet that was let in itself that another was in before; nothing of others, nor of one's own hand", async () => {
    const lines = [
      aLetIn("judge-1-tablet"),
      aLetIn("spare", { by: "judge-1" }),
      aLetIn("other", { person: "judge-2" }),
    ];
    const mine = await aSession("judge-1", ["judge"], [...plan, ...lines]);
    mine.show(<FurtherDevices />);
    expect(
      screen.getByText(/^This tablet was let in as you at .*; another had been in/),
    ).toBeTruthy();
    expect(screen.getAllByRole("button")).toHaveLength(1);
  });

  it("[Y191] is asked about while it waits, and the yes silences its own word on this tablet alone", async () => {
    const mine = await aSession("judge-1", ["judge"], plan);
    mine.notebook.heardNews({
      doorQuestions: [{ device: "spare" as DeviceId, name: "Kim’s phone" }],
    });
    mine.show(<FurtherDevices />);
    expect(
      screen.getByText(/^Is this your second tablet\? It calls itself “Kim’s phone”/),
    ).toBeTruthy();
    await userEvent.click(screen.getByRole("button", { name: "No, not mine" }));
    expect(mine.doorAnswers).toEqual([["spare", false]]);
    await userEvent.click(screen.getByRole("button", { name: "Yes, it is mine" }));
    expect(mine.doorAnswers.at(-1)).toEqual(["spare", true]);
    const line = aLetIn("spare", { agreed: true });
    act(() => {
      mine.notebook.heardNews({ doorQuestions: [] });
      mine.notebook.take([line], []);
    });
    expect(screen.queryByText(told)).toBeNull();
    const elsewhere = await aSession("judge-1", ["judge"], [...plan, line], { device: "earlier" });
    expect(furtherDevicesToTell(elsewhere.notebook)).toHaveLength(1);
  });
});
