# Further cases for the regressions, computed with the reference programs:
# R, ordinal (clm, clmm), lme4 (glmer), MASS (polr). Writes reference.json.
#
#   Rscript reference.R > reference.json
#
# Debian: r-base-core r-cran-ordinal r-cran-lme4 r-cran-mass r-cran-jsonlite.
# The data are drawn here from known truths in the shape of a studio's
# records: dose in stops, kinds of light, batches of unequal size.
suppressPackageStartupMessages({library(ordinal); library(lme4); library(jsonlite)})

plates <- function(seed, sizes, lights, beta, tau, sd, light_effects, spread) {
  set.seed(seed)
  batch <- rep(seq_along(sizes), sizes)
  n <- length(batch)
  light <- sample(lights, n, replace = TRUE, prob = rev(seq_along(lights)))
  b <- rnorm(length(sizes), 0, sd)
  aim <- -(b[batch] + light_effects[match(light, lights)]) / beta
  dose <- round(aim + rnorm(n, 0, spread) + 8, 3)
  eta <- beta * (dose - 8) + b[batch] + light_effects[match(light, lights)] + rnorm(n)
  data.frame(y = 1 + (eta > tau[1]) + (eta > tau[2]), dose, light, batch)
}

tight <- clmm.control(grtol = 1e-9, useMatrix = FALSE)
# clmm and glmer leave the modes of the groups a little short, which costs
# their log-likelihood the fourth to the sixth digit. This is the same Laplace
# log-likelihood written out anew, modes to the last digit, climbed by
# Newton's method with numDeriv's derivatives: the value to compare with.
refine <- function(par, y, x, group, link) {
  nt <- max(y) - 1
  normal <- link == "probit"
  cdf <- if (normal) pnorm else plogis
  f <- if (normal) dnorm else dlogis
  df <- if (normal) function(v) ifelse(is.infinite(v), 0, -v * dnorm(v)) else function(v) dlogis(v) * (1 - 2 * plogis(v))
  laplace <- function(par) {
    tau <- c(-Inf, par[1:nt], Inf); sd <- par[length(par)]
    eta <- drop(x %*% par[(nt + 1):(length(par) - 1)])
    total <- 0
    for (j in unique(group)) {
      i <- group == j
      lower <- tau[y[i]] - eta[i]; upper <- tau[y[i] + 1] - eta[i]
      u <- 0
      for (k in 0:60) {
        a <- lower - sd * u; b <- upper - sd * u
        p <- ifelse(a > 0, cdf(-a) - cdf(-b), cdf(b) - cdf(a))  # on the smaller tail
        s <- (f(b) - f(a)) / p
        d1 <- -sd * sum(s) - u
        d2 <- sd^2 * sum((df(b) - df(a)) / p - s^2) - 1
        step <- max(-1, min(1, -d1 / d2))
        if (abs(step) < 1e-13) break
        u <- u + step
      }
      total <- total + sum(log(p)) - u^2 / 2 - 0.5 * log(-d2)
    }
    total
  }
  # Centred and scaled, so that one step size suits all parameters.
  m <- colMeans(x); sx <- apply(x, 2, sd); p <- ncol(x)
  x <- scale(x)
  up <- diag(length(par))  # from (tau, beta, sd) centred to those of the data
  up[nt + 1:p, nt + 1:p] <- diag(1 / sx, p)
  up[1:nt, nt + 1:p] <- rep(m / sx, each = nt)
  par <- solve(up, par)
  args <- list(d = 0.01, zero.tol = Inf, eps = 0.01, r = 6)
  for (k in 1:8) {
    g <- numDeriv::grad(laplace, par, method.args = args)
    hess <- numDeriv::hessian(laplace, par, method.args = args)
    step <- -solve(hess, g); par <- par + step
    if (max(abs(step)) < 1e-8) break
  }
  v <- up %*% solve(-numDeriv::hessian(laplace, par, method.args = args)) %*% t(up)
  best <- drop(up %*% par)
  list(coef = best[-length(par)], sd = best[length(par)], loglik = laplace(par), se = sqrt(diag(v)))
}

wine_three <- function() {
  d <- wine; d$g <- factor(c(1, 1, 2, 3, 3)[as.integer(d$rating)])
  m <- clmm(g ~ temp + contact + (1 | judge), data = d, link = "probit", nAGQ = 1, control = tight)
  refine(c(coef(m), as.numeric(m$ST[[1]])), as.integer(d$g),
         cbind(d$temp == "warm", d$contact == "yes") + 0, d$judge, "probit")
}

ordered_case <- function(name, d, link, mixed = TRUE) {
  d$g <- factor(d$y); d$light <- factor(d$light); d$batch <- factor(d$batch)
  f <- if (nlevels(d$light) > 1) g ~ dose + light else g ~ dose
  m <- clm(f, data = d, link = link, control = list(gradTol = 1e-10, maxIter = 200))
  out <- list(name = name, link = link, y = d$y, dose = d$dose, light = as.character(d$light),
              batch = as.integer(d$batch), lights = I(levels(d$light)),
              clm = list(coef = unname(coef(m)), vcov = unname(vcov(m)), loglik = as.numeric(logLik(m))))
  if (mixed) {
    mm <- suppressWarnings(clmm(update(f, . ~ . + (1 | batch)), data = d, link = link, nAGQ = 1, control = tight))
    out$clmm <- list(coef = unname(coef(mm)), sd = as.numeric(mm$ST[[1]]), loglik = as.numeric(logLik(mm)),
                     modes = unname(ranef(mm)$batch[, 1]), se = tryCatch(unname(sqrt(diag(vcov(mm)))[seq_along(coef(mm))]), error = function(e) NULL))
    if (out$clmm$sd > 1e-3)
      out$refined <- refine(c(coef(mm), out$clmm$sd), d$y, model.matrix(f, d)[, -1, drop = FALSE], d$batch, link)
  }
  out
}

keepers <- function(seed, sizes, sd) {
  set.seed(seed)
  batch <- rep(seq_along(sizes), sizes)
  n <- length(batch)
  light <- sample(c("north", "south"), n, replace = TRUE)
  age <- sample(0:60, n, replace = TRUE)
  p <- plogis(0.9 - 0.02 * age + 0.5 * (light == "south") + rnorm(length(sizes), 0, sd)[batch])
  data.frame(y = rbinom(n, 1, p), south = as.integer(light == "south"), age, batch)
}

binary_case <- function(name, d) {
  d$batch <- factor(d$batch)
  g <- glm(y ~ south + age, binomial, d, control = list(epsilon = 1e-14, maxit = 100))
  m <- suppressMessages(glmer(y ~ south + age + (1 | batch), d, binomial, nAGQ = 1,
    control = glmerControl(optimizer = "bobyqa", tolPwrss = 1e-13, optCtrl = list(rhobeg = 0.02, rhoend = 1e-9, maxfun = 1e5))))
  list(name = name, y = d$y, south = d$south, age = d$age, batch = as.integer(d$batch),
       glm = list(coef = unname(coef(g)), se = unname(sqrt(diag(vcov(g)))), loglik = as.numeric(logLik(g))),
       glmer = list(coef = unname(fixef(m)), sd = as.numeric(attr(VarCorr(m)$batch, "stddev")),
                    loglik = as.numeric(logLik(m)), modes = unname(ranef(m)$batch[, 1])))
}

# The profile-likelihood limits of the wine data by root finding: confint()
# interpolates with a spline and keeps about five digits.
wine_profile <- function() {
  full <- clm(rating ~ temp + contact, data = wine)
  limit <- function(other, column, from, to) {
    f <- function(b) {
      d <- wine
      d$o <- b * column
      m <- clm(update(rating ~ offset(o), other), data = d, control = list(gradTol = 1e-12))
      as.numeric(2 * (logLik(full) - logLik(m))) - qchisq(0.95, 1)
    }
    uniroot(f, c(from, to), tol = 1e-12)$root
  }
  warm <- as.numeric(wine$temp == "warm"); yes <- as.numeric(wine$contact == "yes")
  c(limit(. ~ . + contact, warm, 1, 2), limit(. ~ . + contact, warm, 3, 4.5),
    limit(. ~ . + temp, yes, 0.3, 1), limit(. ~ . + temp, yes, 2, 3))
}

two <- c("north", "south")
out <- list(
  versions = list(R = R.version.string, ordinal = as.character(packageVersion("ordinal")),
                  lme4 = as.character(packageVersion("lme4"))),
  wine_profile = wine_profile(), wine_three = wine_three(),
  ordered = list(
    ordered_case("six even batches, two lights", plates(1, rep(20, 6), two, 2, c(-1, 1), 0.7, c(0, 0.8), 0.5), "probit"),
    ordered_case("unequal batches, three lights", plates(2, c(1, 2, 5, 9, 14, 40, 33, 1), c("a", "b", "c"), 1.5, c(-0.8, 1), 1, c(0, 1, -1), 0.8), "probit"),
    ordered_case("no difference between batches", plates(3, rep(12, 5), two, 2, c(-1, 1), 0, c(0, 0), 0.5), "probit"),
    ordered_case("large differences", plates(4, rep(15, 8), two, 2.5, c(-1.2, 1.2), 2.5, c(0, 0.5), 0.6), "probit"),
    ordered_case("one light, logit", plates(5, rep(18, 6), "a", 2.5, c(-1.5, 1.5), 1, 0, 0.7), "logit"),
    ordered_case("many single plates", plates(6, c(rep(1, 30), 20, 15), two, 2, c(-1, 1), 0.8, c(0, -0.6), 0.6), "probit"),
    ordered_case("doses far from zero", transform(plates(7, rep(10, 7), two, 2, c(-1, 1), 0.8, c(0, 1), 0.6), dose = dose + 1000), "probit", mixed = FALSE)),
  binary = list(
    binary_case("ten batches of twenty", keepers(11, rep(20, 10), 0.8)),
    binary_case("unequal batches", keepers(12, c(1, 3, 60, 44, 12, 9, 30, 2), 1.2)),
    binary_case("no difference between batches", keepers(14, rep(15, 6), 0))))
cat(toJSON(out, digits = 14, auto_unbox = TRUE, null = "null"), "\n")
