# Values of R's reference libraries for the panels of panels.json, and of R itself for distributions:
#   Rscript tests/reference/statistics/regenerate.R      (Debian: r-cran-lme4 r-cran-psych r-cran-jsonlite)
suppressMessages({library(lme4); library(psych); library(jsonlite)})
arguments <- commandArgs(FALSE)
here <- dirname(sub("^--file=", "", grep("^--file=", arguments, value = TRUE)))
given <- fromJSON(file.path(here, "panels.json"))
panels <- setNames(given$panels$rows, given$panels$name)
control <- lmerControl(optimizer = "bobyqa", calc.derivs = FALSE, optCtrl = list(rhoend = 1e-10, maxfun = 1e5),
                       check.conv.singular = "ignore")
fits <- lapply(seq_len(nrow(given$models)), function(m) {
  model <- given$models[m, ]
  data <- panels[[model$panel]]
  for (name in c("candidate", "judge", "item", "criterion")) data[[name]] <- factor(data[[name]])
  random <- strsplit(model$random, ",")[[1]]
  fixed <- strsplit(model$fixed, ",")[[1]]
  formula <- as.formula(paste("mark ~", paste(c("1", fixed, sprintf("(1 | %s)", random)), collapse = " + ")))
  fit <- suppressMessages(lmer(formula, data, REML = TRUE, control = control))
  variances <- as.data.frame(VarCorr(fit))
  one <- function(name) variances$vcov[variances$grp == name]
  first <- ranef(fit)[[random[1]]]
  list(panel = model$panel, random = model$random, fixed = model$fixed, criterion = REMLcrit(fit),
       components = as.list(setNames(sapply(c(random, "Residual"), one), c(random, "residual"))),
       intercept = unname(fixef(fit)[1]), intercept_se = sqrt(as.matrix(vcov(fit))[1, 1]),
       first_effect = as.list(setNames(first[[1]], rownames(first))))
})
wide <- function(name) { d <- panels[[name]]; unclass(as.matrix(tapply(d$mark, list(d$candidate, d$judge), mean))) }
complete <- wide("complete")
icc <- ICC(complete, lmer = FALSE)$results
forms <- c("ICC(1,1)", "ICC(2,1)", "ICC(3,1)", "ICC(1,k)", "ICC(2,k)", "ICC(3,k)")
friedman <- friedman.test(t(complete))
pair <- complete[, 1:2]
levels <- sort(unique(as.vector(pair)))
crossed <- table(factor(pair[, 1], levels), factor(pair[, 2], levels))
apart <- abs(outer(levels, levels, "-"))
kappa <- function(weights) cohen.kappa(crossed, w = weights)$weighted.kappa
tails <- expand.grid(above = c(1e-6, .001, .025, .5, .9), df1 = c(1, 5, 37.5), df2 = c(2, 15, 400))
write(toJSON(list(
  source = sprintf("R %s, lme4 %s, psych %s", getRversion(), packageVersion("lme4"), packageVersion("psych")),
  fits = fits,
  icc = lapply(seq_along(forms), function(i) c(list(form = forms[i]), as.list(setNames(icc[i, 2:8], c("value", "f", "df1", "df2", "p", "low", "high"))))),
  friedman = list(chi2 = unname(friedman$statistic), df = unname(friedman$parameter), p = friedman$p.value),
  kappa = list(linear = kappa(apart), quadratic = kappa(apart^2), unweighted = cohen.kappa(crossed)$kappa),
  f = cbind(tails, q = qf(tails$above, tails$df1, tails$df2, lower.tail = FALSE)),
  t = { g <- expand.grid(above = c(1e-8, .005, .3, .8), df = c(1, 4.5, 200)); cbind(g, q = qt(g$above, g$df, lower.tail = FALSE)) },
  chi2 = { g <- expand.grid(above = c(1e-10, .05, .5, .99), df = c(1, 7, 300)); cbind(g, q = qchisq(g$above, g$df, lower.tail = FALSE)) },
  normal = { a <- c(1e-12, .025, .4, .5, .9); data.frame(above = a, q = qnorm(a, lower.tail = FALSE)) }
), digits = NA, auto_unbox = TRUE, pretty = TRUE), file.path(here, "from-r.json"))
