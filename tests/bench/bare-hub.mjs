// The floor that the hub is measured against: takes frames of entries, commits them in groups to the same kind of store, acknowledges, and checks nothing.
import { join } from "node:path";
import Database from "libsql";
import { WebSocketServer } from "ws";

const database = new Database(join(process.argv[2], "bare.sqlite"));
database.exec("PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL;");
database.exec("CREATE TABLE rows (id TEXT PRIMARY KEY, body TEXT NOT NULL) WITHOUT ROWID");
const insert = database.prepare("INSERT INTO rows (id, body) VALUES (?, ?)");
let waiting = [];

function commit() {
  const group = waiting;
  waiting = [];
  database.exec("BEGIN IMMEDIATE");
  for (const { entries } of group)
    for (const entry of entries) insert.run(entry.id, JSON.stringify(entry));
  database.exec("COMMIT");
  for (const { socket, entries } of group)
    socket.send(JSON.stringify({ frame: "ack", ids: entries.map(({ id }) => id) }));
}

const server = new WebSocketServer({ port: Number(process.argv[3]), host: "127.0.0.1" }, () =>
  console.log(server.address().port),
);
server.on("connection", (socket) => {
  socket.on("message", (data) => {
    const frame = JSON.parse(String(data));
    if (frame.frame === "hello") return socket.send('{"frame":"welcome"}');
    if (waiting.length === 0) setImmediate(commit);
    waiting.push({ socket, entries: frame.entries });
  });
});
