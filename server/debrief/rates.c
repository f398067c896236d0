#include "debrief/rates.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

#include "board/check.h"

/* Up to this count GSL inverts the distribution. Above, its search misses: at 1,159 it answers wide of the limit, at 1,736 it ends
 * the program. */
enum { COUNT_INVERTED_MOST = 1000 };

/* Half of chi-squared's quantile that lies z standard deviations off, after Wilson and Hilferty. */
static double half_chi_squared(double freedom, double z)
{
    double part = 2 / (9 * freedom), root = 1 - part + z * sqrt(part);
    return freedom * root * root * root / 2;
}

struct limits rates_counts(int64_t k, double level)
{
    double tail = (1 - level) / 2, freedom = 2 * (double)k;
    CHECK(k >= 0 && tail > 0 && tail < 0.5);
    if (k > COUNT_INVERTED_MOST) {
        double z = gsl_cdf_ugaussian_Qinv(tail);
        return (struct limits){.lo = half_chi_squared(freedom, -z), .hi = half_chi_squared(freedom + 2, z)};
    }
    return (struct limits){
        .lo = k == 0 ? 0 : gsl_cdf_chisq_Pinv(tail, freedom) / 2,
        .hi = gsl_cdf_chisq_Qinv(tail, freedom + 2) / 2,
    };
}

struct limits rates_wilson(int64_t k, int64_t n, double level)
{
    CHECK(n > 0 && k >= 0 && k <= n);
    double z = gsl_cdf_ugaussian_Qinv((1 - level) / 2);
    double all = (double)n, part = (double)k / all;
    double middle = part + z * z / (2 * all);
    double half = z * sqrt(part * (1 - part) / all + z * z / (4 * all * all));
    double below = 1 + z * z / all;
    return (struct limits){
        .lo = k == 0 ? 0 : (middle - half) / below,
        .hi = k == n ? 1 : (middle + half) / below,
    };
}

/* The difference a - b of two estimates, each with limits of its own: squares of what each limit is off add up. */
static struct limits apart(double a, struct limits of_a, double b, struct limits of_b)
{
    double difference = a - b;
    return (struct limits){
        .lo = difference - hypot(a - of_a.lo, of_b.hi - b),
        .hi = difference + hypot(of_a.hi - a, b - of_b.lo),
    };
}

struct limits rates_proportion_difference(int64_t k1, int64_t n1, int64_t k2, int64_t n2, double level)
{
    return apart((double)k1 / (double)n1, rates_wilson(k1, n1, level), (double)k2 / (double)n2,
                 rates_wilson(k2, n2, level));
}

static struct limits per(struct limits counts, double effort)
{
    return (struct limits){.lo = counts.lo / effort, .hi = counts.hi / effort};
}

struct limits rates_difference(int64_t k1, double effort1, int64_t k2, double effort2, double level)
{
    CHECK(effort1 > 0 && effort2 > 0);
    return apart((double)k1 / effort1, per(rates_counts(k1, level), effort1), (double)k2 / effort2,
                 per(rates_counts(k2, level), effort2));
}

double rates_quantile(const double *sorted, int32_t count, double p)
{
    CHECK(count > 0 && p >= 0 && p <= 1);
    double at = (count - 1) * p;
    int32_t below = (int32_t)floor(at);
    if (below >= count - 1)
        return sorted[count - 1];
    return sorted[below] + (at - below) * (sorted[below + 1] - sorted[below]);
}
