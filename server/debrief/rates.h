/* Statistics of small counts. Pure functions; numbers come in and go out as they are, in no unit.
 *
 * Sources. tests/unit/test_rates.c checks each against published or independently computed values.
 *
 *   counts      exact Poisson limits: F. Garwood, Fiducial limits for the Poisson distribution, Biometrika 28 (1936) 437-442:
 *               chi2(a/2; 2k)/2 and chi2(1-a/2; 2k+2)/2. Over 1,000, where they are less than 0.001 off, chi2 is that of E. B.
 *               Wilson, M. M. Hilferty, The distribution of chi-square, PNAS 17 (1931) 684-688.
 *   wilson      score limits of a proportion, no continuity correction: E. B. Wilson, JASA 22 (1927) 209-212; method 3 of
 *               R. G. Newcombe, Statistics in Medicine 17 (1998) 857-872.
 *   difference  of two proportions: hybrid score, method 10 of R. G. Newcombe, Statistics in Medicine 17 (1998) 873-890.
 *   rate_difference  of two Poisson rates: the same way of putting two intervals together (MOVER: G. Y. Zou, A. Donner,
 *               Construction of confidence limits about effect measures: a general approach, Statistics in Medicine 27 (2008)
 *               1693-1702), each rate's own limits being Garwood's. These are never too short, so neither is the difference's.
 *   quantile    type 7 of R. J. Hyndman, Y. Fan, Sample quantiles in statistical packages, The American Statistician 50
 *               (1996) 361-365: linear between order statistics, h = (n - 1) p.
 *
 * level is 0.95 for 95 %. No result is ever NaN or infinite for arguments within the stated bounds; others are bugs.
 */
#ifndef STERNBOARD_DEBRIEF_RATES_H
#define STERNBOARD_DEBRIEF_RATES_H

#include <stdint.h>

struct limits {
    double lo, hi;
};

/* Of a count k >= 0. */
struct limits rates_counts(int64_t k, double level);

/* Of k out of n, 0 <= k <= n, n > 0. */
struct limits rates_wilson(int64_t k, int64_t n, double level);

/* Of k1/n1 - k2/n2. */
struct limits rates_proportion_difference(int64_t k1, int64_t n1, int64_t k2, int64_t n2, double level);

/* Of k1/effort1 - k2/effort2, both efforts over 0. */
struct limits rates_difference(int64_t k1, double effort1, int64_t k2, double effort2, double level);

/* Of count > 0 values in rising order; p from 0 to 1. */
double rates_quantile(const double *sorted, int32_t count, double p);

#endif
