import { lazy, Suspense } from "react";
import { Navigate } from "react-router";
import { isUnderWay } from "../../../belt-test/scorebook/is-under-way.ts";
import { useNotebook } from "../../session/services.tsx";

const NoPlace = lazy(async () => ({ default: (await import("./no-place.tsx")).NoPlace }));

/** Sends each role to its own first screen: the chief plans until the test has started, and then watches. */
export function RoleHome() {
  const { pass, book } = useNotebook();
  // A tablet may be in as more than the plan says by now: what its person is to do comes first.
  const seated = pass.person && book.plan.seat(pass.person)?.roles;
  const planned = pass.roles.filter((role) => seated?.includes(role));
  const roles = planned.length > 0 ? planned : pass.roles;
  const has = (role: (typeof roles)[number]) => roles.includes(role);
  if (has("chief"))
    return <Navigate replace to={book.plan.isClosed || isUnderWay(book) ? "chief" : "set-up"} />;
  if (has("judge")) return <Navigate replace to="judge" />;
  if (has("caller")) return <Navigate replace to="caller" />;
  if (has("desk")) return <Navigate replace to="desk" />;
  return (
    <Suspense>
      <NoPlace isTakenOut={pass.person !== undefined} />
    </Suspense>
  );
}
