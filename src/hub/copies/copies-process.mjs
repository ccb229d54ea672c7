// Does the work on the disk of a hub's copies in a process of its own, one piece after the other: where that disk does not answer, this process waits and not
// the hub. Is sent `{ id, name, said }`, and sends `{ id, result }`, or `{ id, failed }` with the code and the words of the error. Ends with whoever started it.
import { register } from "tsx/esm/api";

register();
const { doDiskWork } = await import("./copies-disk.ts");
let before = Promise.resolve();
process.on("message", ({ id, name, said }) => {
  before = before.then(async () => {
    try {
      answer({ id, result: await doDiskWork(name, said) });
    } catch (error) {
      answer({ id, failed: { code: error.code, message: error.message } });
    }
  });
});
process.on("disconnect", () => process.exit());
// Ctrl+C reaches it from the terminal too: the hub makes its last copy then.
for (const signal of ["SIGINT", "SIGHUP"]) process.on(signal, () => undefined);

const answer = (said) => process.connected && process.send(said);
