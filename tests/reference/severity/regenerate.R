# Severity with candidates as they are and judges as a sample, by R's lme4:
#   Rscript tests/reference/severity/regenerate.R      (Debian: r-cran-lme4 r-cran-jsonlite)
suppressMessages({library(lme4); library(jsonlite)})
arguments <- commandArgs(FALSE)
here <- dirname(sub("^--file=", "", grep("^--file=", arguments, value = TRUE)))
# Made up for this check: nine candidates, five judges, two or three of them each.
rows <- data.frame(
  candidate = c(0,0,0, 1,1, 2,2,2, 3,3, 4,4,4, 5,5, 6,6,6, 7,7, 8,8,8),
  judge     = c(0,1,2, 1,3, 0,2,4, 2,3, 0,3,4, 1,4, 1,2,3, 0,4, 0,1,4),
  level     = c(2.9,2.4,2.7, 1.8,2.3, 3.3,2.9,3.1, 2.2,2.6, 2.0,2.1,1.7, 3.0,3.3, 2.1,2.5,2.6, 1.5,1.4, 2.8,2.2,2.7))
data <- transform(rows, candidate = factor(candidate), judge = factor(judge))
fit <- lmer(level ~ 0 + candidate + (1 | judge), data, REML = TRUE,
            control = lmerControl(optimizer = "bobyqa", optCtrl = list(rhoend = 1e-12, maxfun = 1e5)))
v <- as.data.frame(VarCorr(fit))
effects <- ranef(fit, condVar = FALSE)$judge
write(toJSON(list(
  source = sprintf("R %s, lme4 %s", getRversion(), packageVersion("lme4")),
  rows = rows,
  severity_variance = v$vcov[v$grp == "judge"], residual_variance = v$vcov[v$grp == "Residual"],
  reml_criterion = REMLcrit(fit),
  judge_effects = effects[order(as.integer(rownames(effects))), 1],
  candidates = unname(fixef(fit)), candidate_se = unname(sqrt(diag(as.matrix(vcov(fit)))))
), digits = NA, auto_unbox = TRUE, pretty = TRUE), file.path(here, "from-r.json"))
