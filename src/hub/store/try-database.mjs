// Opens a database in a process of its own and looks through it: where it is so damaged that the library that reads it aborts, this process ends
// and not the hub. Prints `begun`, and then `ok`, what is wrong, or `failed` with the code and the words of the error. What it closes last needs no log any more, and says so
// (apart-mark.ts). Arguments: the file, the number of one that is whole, and `whole` to look into its indexes too.
import { writeSync } from "node:fs";
import Database from "libsql";

const [, , path, whole, how] = process.argv;
// Whatever ends this process before has nothing to do with the database.
writeSync(1, "begun\n");
try {
  const database = new Database(path);
  database.pragma("busy_timeout = 5000");
  const check = how === "whole" ? "integrity_check" : "quick_check";
  const [first] = database.pragma(`${check}(1)`);
  const said = first?.[check] ?? "no answer";
  process.stdout.write(said);
  if (said === "ok") sayWhole(database);
} catch (error) {
  const { code = "", message = String(error) } = error;
  process.stdout.write(`failed ${code} ${message}`);
}

function sayWhole(database) {
  try {
    database.pragma(`application_id = ${Number(whole)}`);
  } catch {
    // On a full disk it stands in the log already, or the hub says that the log is missing.
  }
}
