import { render, screen } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { useState } from "react";
import { expect, it, vi } from "vitest";
import { CheckField } from "../../../src/tablet/parts/check-field.tsx";
import { SelectField } from "../../../src/tablet/parts/select-field.tsx";
import { TextAreaField } from "../../../src/tablet/parts/text-area-field.tsx";
import { TextField } from "../../../src/tablet/parts/text-field.tsx";

const user = userEvent.setup();

function Kept() {
  const [given, setGiven] = useState("");
  return <TextField label="Given name" value={given} onChange={setGiven} />;
}

it("takes what is written", async () => {
  render(<Kept />);
  await user.type(screen.getByRole("textbox", { name: "Given name" }), "Aiko");
  expect(screen.getByRole("textbox", { name: "Given name" })).toHaveProperty("value", "Aiko");
});

it("ties hint and fault to the control, and says that it is needed", () => {
  render(
    <TextField
      label="Number"
      hint="As on the back"
      fault="A number has digits only."
      needed
      value="1O4"
      onChange={() => undefined}
    />,
  );
  const box = screen.getByRole("textbox", { name: /^Number/ });
  const words = (box.getAttribute("aria-describedby") ?? "")
    .split(" ")
    .map((id) => document.getElementById(id)?.textContent);
  expect(words).toEqual(["As on the back", "A number has digits only."]);
  expect(box.getAttribute("aria-invalid")).toBe("true");
  expect(box).toHaveProperty("required", true);
  expect(screen.getByRole("alert").textContent).toBe("A number has digits only.");
});

it("chooses one of a few", async () => {
  const choose = vi.fn();
  render(
    <SelectField
      label="Testing for"
      none="Choose a belt"
      value=""
      options={[
        { value: "yellow", label: "Yellow belt" },
        { value: "orange", label: "Orange belt" },
      ]}
      onChange={choose}
    />,
  );
  await user.selectOptions(screen.getByRole("combobox", { name: "Testing for" }), "Orange belt");
  expect(choose).toHaveBeenCalledExactlyOnceWith("orange");
});

it("takes several lines, and a tick by its words", async () => {
  const write = vi.fn();
  const tick = vi.fn();
  render(
    <>
      <TextAreaField label="Reason" value="" onChange={write} />
      <CheckField label="Fit to take part today" checked={false} onChange={tick} />
    </>,
  );
  await user.type(screen.getByRole("textbox", { name: "Reason" }), "x");
  await user.click(screen.getByText("Fit to take part today"));
  expect(write).toHaveBeenCalledExactlyOnceWith("x");
  expect(tick).toHaveBeenCalledExactlyOnceWith(true);
});
