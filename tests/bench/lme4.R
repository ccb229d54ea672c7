# The same model in lme4: prints its CPU seconds and the variances. Rscript lme4.R marks.csv "candidate,judge,item:criterion"
suppressMessages(library(lme4))
arguments <- commandArgs(TRUE)
marks <- read.csv(arguments[1])
for (name in setdiff(names(marks), "mark")) marks[[name]] <- factor(marks[[name]])
terms <- strsplit(arguments[2], ",")[[1]]
formula <- as.formula(paste("mark ~ 1 +", paste(sprintf("(1 | %s)", terms), collapse = " + ")))
time <- system.time(fit <- suppressWarnings(lmer(formula, marks, REML = TRUE)))
found <- as.data.frame(VarCorr(fit))
cat(sum(time[1:2]), sapply(c(terms, "Residual"), function(name) found$vcov[found$grp == name]), "\n")
