import type { ReactNode } from "react";
import { Navigate } from "react-router";
import type { Role } from "../../../belt-test/kinds/body-parts.ts";
import { testAddress } from "../../parts/test-pages.ts";
import { useNotebook } from "../../session/services.tsx";

/** A page of some roles: whoever holds none of them is sent to their own page, and the page's script is not fetched. */
export function Only({ roles, children }: { roles: readonly Role[]; children: ReactNode }) {
  const { pass } = useNotebook();
  if (pass.roles.some((role) => roles.includes(role))) return children;
  return <Navigate replace to={testAddress(pass.grading)} />;
}
