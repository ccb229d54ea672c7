import type { Packet, Question, Rr } from "multicast-dns";

/** Seconds that others may remember what names a host, and the rest (RFC 6762 section 10). */
const HOST_TTL = 120;
const OTHER_TTL = 4_500;
/** For a resolver that does not speak multicast (RFC 6762 section 6.7). */
const LEGACY_TTL = 10;
const SERVICES = "_services._dns-sd._udp.local";

/** What a hub says of itself on one network: a name ending in `.local`, the address it has there, its ports. */
export interface Said {
  name: string;
  address: string;
  http: number;
  https: number | undefined;
}

/** Records that are this hub's alone, which it may hold only while nobody else says otherwise (RFC 6762 section 8.1). */
export function ownRecords({ name, address, ...ports }: Said): Rr[] {
  const own = { ttl: HOST_TTL, flush: true };
  return [
    { name, type: "A", data: address, ...own },
    ...services({ name, address, ...ports }).map(
      ({ instance, port }): Rr => ({
        name: instance,
        type: "SRV",
        data: { port, target: name, weight: 0, priority: 0 },
        ...own,
      }),
    ),
  ];
}

/** Everything a hub says when it comes, and with `ttl` 0 when it goes (RFC 6762 sections 8.3 and 10.1). */
export function allRecords(said: Said, ttl?: number): Rr[] {
  const shared = services(said).flatMap(({ type, instance }): Rr[] => [
    { name: type, type: "PTR", data: instance, ttl: OTHER_TTL },
    { name: SERVICES, type: "PTR", data: type, ttl: OTHER_TTL },
    { name: instance, type: "TXT", data: ["path=/join"], ttl: OTHER_TTL, flush: true },
  ]);
  const all = [...ownRecords(said), ...shared];
  return ttl === undefined ? all : all.map((record) => ({ ...record, ttl }));
}

/**
 * What is answered to a query, or nothing where it asks for nothing of ours, or knows the answer already (RFC 6762 section 7.1).
 * Whoever asks for an address of version 6 is told that there is none, so that nobody waits for one (section 6.1).
 */
export function answersTo(query: Packet, said: Said): Packet | undefined {
  const all = allRecords(said);
  const none: Rr = {
    name: said.name,
    type: "NSEC",
    data: { nextDomain: said.name, rrtypes: ["A"] },
    ttl: HOST_TTL,
    flush: true,
  };
  const asked = (query.questions ?? []).flatMap((question) =>
    asksFor(question, said.name, "AAAA")
      ? [none]
      : all.filter((one) => asksFor(question, one.name, one.type)),
  );
  const known = query.answers ?? [];
  const answers = [...new Set(asked)].filter(
    (one) => !known.some((other) => isSame(one, other) && (other.ttl ?? 0) * 2 >= (one.ttl ?? 0)),
  );
  if (answers.length === 0) return undefined;
  const rest = [...ownRecords(said), none].filter(
    (one) => !answers.some((other) => isSame(one, other)),
  );
  return { answers, additionals: rest };
}

/** The same for a resolver that asks from another port than 5353: it wants its own question back, and nothing to remember for long. */
export function legacyAnswer(query: Packet, answer: Packet): Packet {
  const short = (records: readonly Rr[] = []) =>
    records.map((record) => ({ ...record, ttl: LEGACY_TTL, flush: false }));
  return {
    id: query.id ?? 0,
    questions: query.questions ?? [],
    answers: short(answer.answers),
    additionals: short(answer.additionals),
  };
}

/** Whether records say of this hub's own names something else than it says: somebody else has the name. @param addresses  all of this machine. */
export function isRivalled(
  records: readonly Rr[],
  said: Said,
  addresses: readonly string[],
): boolean {
  const own = ownRecords(said);
  return records.some((record) => {
    if ((record.ttl ?? 0) === 0) return false;
    if (record.type === "A" && isNamed(record, said.name)) return !addresses.includes(record.data);
    const mine = own.find(({ name, type }) => type === record.type && isNamed(record, name));
    return mine !== undefined && !isSame(mine, record);
  });
}

/**
 * Of two hubs that try the same name at one moment, whether this one gives way: the later records have it (RFC 6762 section 8.2), and of two on
 * one machine the later port.
 * @param records  what the other would say.
 */
export function givesWay(records: readonly Rr[], said: Said): boolean {
  const theirs = records.filter(({ name }) => ownRecords(said).some((own) => isNamed(own, name)));
  return Buffer.compare(rank(theirs), rank(ownRecords(said))) > 0;
}

/** The last address, then the last port. */
function rank(records: readonly Rr[]): Buffer {
  const of = (parts: Buffer[]) => parts.sort(Buffer.compare).at(-1) ?? Buffer.alloc(0);
  const addresses = records.flatMap((one) =>
    one.type === "A" ? [Buffer.from(one.data.split(".").map(Number))] : [],
  );
  const ports = records.flatMap((one) =>
    one.type === "SRV" ? [Buffer.from([one.data.port >> 8, one.data.port & 0xff])] : [],
  );
  return Buffer.concat([of(addresses), of(ports)]);
}

function services({ name, http, https }: Said) {
  const label = name.replace(/\.local$/, "");
  const all = [
    { type: "_http._tcp.local", port: http },
    { type: "_https._tcp.local", port: https },
  ];
  return all.flatMap(({ type, port }) =>
    port === undefined ? [] : [{ type, port, instance: `${label}.${type}` }],
  );
}
const isNamed = (record: { name: string }, name: string) =>
  record.name.toLowerCase() === name.toLowerCase();
const asksFor = (question: Question, name: string, type: string) =>
  isNamed(question, name) &&
  (question.type === type || (question.type === "ANY" && type !== "AAAA"));

function isSame(one: Rr, other: Rr): boolean {
  if (one.type !== other.type || !isNamed(one, other.name)) return false;
  if (one.type === "SRV" && other.type === "SRV")
    return (
      one.data.port === other.data.port &&
      one.data.target.toLowerCase() === other.data.target.toLowerCase()
    );
  if (one.type === "TXT" || one.type === "NSEC") return true;
  return String(one.data).toLowerCase() === String(other.data).toLowerCase();
}
