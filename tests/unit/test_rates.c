/* The statistics against published values, and against values worked out another way. Each table says where it is from. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "debrief/effort.h"
#include "debrief/rates.h"

#define COUNT_OF(array) (sizeof(array) / sizeof(array)[0])

/* Equal to the digits that the source gives. */
static void near(double value, double expected, double within)
{
    if (fabs(value - expected) > within)
        fail_msg("%.9f is not %.9f", value, expected);
}

struct counted {
    int64_t k;
    double lo, hi;
};

/* Garwood (1936), 95 %, as the standard tables of exact Poisson limits have them. */
static void exact_limits_of_counts(void **state)
{
    static const struct counted table[] = {
        {0, 0, 3.6889},       {1, 0.0253, 5.5716},   {2, 0.2422, 7.2247},    {3, 0.6187, 8.7673},
        {4, 1.0899, 10.2416}, {5, 1.6235, 11.6683},  {6, 2.2019, 13.0595},   {7, 2.8144, 14.4227},
        {8, 3.4538, 15.7632}, {10, 4.7954, 18.3904}, {20, 12.2165, 30.8884}, {100, 81.3640, 121.6268},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(table); i++) {
        struct limits limits = rates_counts(table[i].k, 0.95);
        near(limits.lo, table[i].lo, 0.00005);
        near(limits.hi, table[i].hi, 0.00005);
    }
}

/* k = 25 at three levels, as statistics packages print it (two decimals). */
static void exact_limits_at_other_levels(void **state)
{
    static const struct {
        double level, lo, hi;
    } table[] = {{0.90, 17.38, 34.92}, {0.95, 16.18, 36.90}, {0.99, 14.00, 41.00}};
    (void)state;
    for (size_t i = 0; i < COUNT_OF(table); i++) {
        struct limits limits = rates_counts(25, table[i].level);
        near(limits.lo, table[i].lo, 0.005);
        near(limits.hi, table[i].hi, 0.005);
    }
}

/* Half the chi-squared quantiles with 2k and 2k + 2 degrees of freedom: (0.975; 2) 7.377759, (0.975; 4) 11.143287, (0.975; 12)
 * 23.336664, (0.025; 2) 0.0506356, (0.025; 10) 3.246973, from tables of the distribution. */
static void exact_limits_are_half_of_chi_squared(void **state)
{
    (void)state;
    near(rates_counts(0, 0.95).hi, 7.377759 / 2, 1e-6);
    near(rates_counts(1, 0.95).hi, 11.143287 / 2, 1e-6);
    near(rates_counts(5, 0.95).hi, 23.336664 / 2, 1e-6);
    near(rates_counts(1, 0.95).lo, 0.0506356 / 2, 1e-6);
    near(rates_counts(5, 0.95).lo, 3.246973 / 2, 1e-6);
}

/* What the limits mean (Garwood 1936): with the upper limit as mean so few are seen, and with the lower so many, in 2.5 of 100
 * cases. Summed term by term, without the chi-squared distribution. */
static double poisson_up_to(int64_t k, double mean)
{
    double term = exp(-mean), sum = term;
    for (int64_t i = 1; i <= k; i++) {
        term *= mean / (double)i;
        sum += term;
    }
    return sum;
}

static void exact_limits_leave_their_tails(void **state)
{
    (void)state;
    for (int64_t k = 0; k <= 60; k++) {
        struct limits most = rates_counts(k, 0.95), half = rates_counts(k, 0.5);
        near(poisson_up_to(k, most.hi), 0.025, 1e-9);
        near(poisson_up_to(k, half.hi), 0.25, 1e-9);
        if (k > 0) {
            near(1 - poisson_up_to(k - 1, most.lo), 0.025, 1e-9);
            near(1 - poisson_up_to(k - 1, half.lo), 0.25, 1e-9);
        }
    }
}

/* The same of large counts, by logarithms: nothing is left of terms 12 standard deviations down. */
static double poisson_up_to_large(int64_t k, double mean)
{
    double sum = 0;
    for (int64_t i = k; i >= 0 && (double)i > mean - 12 * sqrt(mean); i--)
        sum += exp((double)i * log(mean) - mean - lgamma((double)i + 1));
    return sum;
}

/* A boat's record may hold any count. GSL's inverse ends the program at 1,736, and is 16,000 off at 50,000. */
static void limits_of_many_leave_their_tails(void **state)
{
    (void)state;
    for (int64_t k = 900; k <= 1000000; k += 1 + k / 500) {
        struct limits most = rates_counts(k, 0.95), half = rates_counts(k, 0.5);
        near(poisson_up_to_large(k, most.hi), 0.025, 2e-6);
        near(1 - poisson_up_to_large(k - 1, most.lo), 0.025, 2e-6);
        near(poisson_up_to_large(k, half.hi), 0.25, 1e-5);
        near(1 - poisson_up_to_large(k - 1, half.lo), 0.25, 1e-5);
    }
}

/* Newcombe, Statistics in Medicine 17 (1998) 857-872, table I, method 3; below, small numbers worked out from the formula by hand. */
static void wilson(void **state)
{
    static const struct {
        int64_t k, n;
        double lo, hi;
    } table[] = {
        {81, 263, 0.2553, 0.3662}, {15, 148, 0.0624, 0.1605}, {0, 20, 0, 0.1611},       {1, 29, 0.0061, 0.1718},
        {7, 10, 0.3968, 0.8922},   {3, 8, 0.1368, 0.6943},    {12, 30, 0.2459, 0.5768}, {20, 20, 0.8389, 1},
        {1, 1, 0.2065, 1},         {0, 1, 0, 0.7935},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(table); i++) {
        struct limits limits = rates_wilson(table[i].k, table[i].n, 0.95);
        near(limits.lo, table[i].lo, 0.00005);
        near(limits.hi, table[i].hi, 0.00005);
    }
}

/* Newcombe, Statistics in Medicine 17 (1998) 873-890, table II, method 10. */
static void hybrid_score(void **state)
{
    static const struct {
        int64_t k1, n1, k2, n2;
        double lo, hi;
    } table[] = {
        {56, 70, 48, 80, 0.0524, 0.3339},
        {9, 10, 3, 10, 0.1705, 0.8090},
        {5, 56, 0, 29, -0.0381, 0.1926},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(table); i++) {
        struct limits limits = rates_proportion_difference(table[i].k1, table[i].n1, table[i].k2, table[i].n2, 0.95);
        near(limits.lo, table[i].lo, 0.00005);
        near(limits.hi, table[i].hi, 0.00005);
    }
}

/* Zou and Donner, Statistics in Medicine 27 (2008) 1693-1702, from the table of Garwood's limits above, by hand.
 *
 *   10 in 40 h and 5 in 50 h: rates 0.25 and 0.1; limits 0.119885 to 0.45976, and 0.03247 to 0.233366.
 *   lower 0.15 - sqrt((0.25 - 0.119885)^2 + (0.233366 - 0.1)^2)  = 0.15 - sqrt(0.016930 + 0.017787) = -0.036325
 *   upper 0.15 + sqrt((0.45976 - 0.25)^2 + (0.1 - 0.03247)^2)    = 0.15 + sqrt(0.043999 + 0.004560) = 0.370362
 *
 *   20 in 40 h and 5 in 50 h: 0.5 and 0.1; 0.3054125 to 0.77221.
 *   lower 0.4 - sqrt(0.1945875^2 + 0.133366^2) = 0.4 - 0.235905 = 0.164095; upper 0.4 + sqrt(0.27221^2 + 0.06753^2) = 0.680462 */
static void difference_of_rates(void **state)
{
    (void)state;
    struct limits same = rates_difference(10, 40, 5, 50, 0.95);
    near(same.lo, -0.036325, 0.00001);
    near(same.hi, 0.370362, 0.00001);
    struct limits apart = rates_difference(20, 40, 5, 50, 0.95);
    near(apart.lo, 0.164095, 0.00001);
    near(apart.hi, 0.680462, 0.00001);
    struct limits turned = rates_difference(5, 50, 20, 40, 0.95);
    near(turned.lo, -apart.hi, 1e-12);
    near(turned.hi, -apart.lo, 1e-12);
}

/* It must hold what it says: over all pairs of counts, weighted by their probability, the true difference lies within in at least
 * 95 of 100 cases, for limits that are never too short. Summed, not drawn by lot. */
static void difference_covers(void **state)
{
    static const double means[][2] = {{5, 5}, {8, 6}, {12, 5}, {20, 10}, {6, 15}};
    enum { MOST = 70 };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(means); i++) {
        double a = means[i][0], b = means[i][1], covered = 0;
        for (int64_t k1 = 0; k1 < MOST; k1++) {
            for (int64_t k2 = 0; k2 < MOST; k2++) {
                double p = exp((double)k1 * log(a) - a - lgamma((double)k1 + 1) + (double)k2 * log(b) - b -
                               lgamma((double)k2 + 1));
                struct limits limits = rates_difference(k1, 1, k2, 1, 0.95);
                if (limits.lo <= a - b && a - b <= limits.hi)
                    covered += p;
            }
        }
        assert_true(covered >= 0.95);
        assert_true(covered < 0.995);
    }
}

/* Hyndman and Fan (1996), type 7. */
static void quantiles(void **state)
{
    static const double ten[] = {1, 2, 3, 4, 5, 6, 7, 8, 9, 10};
    static const double uneven[] = {2.1, 3.4, 5.0, 7.7, 11.2, 13.9, 20.3, 21.0, 28.4, 40.5};
    static const double p[] = {0.1, 0.25, 0.5, 0.75, 0.9};
    static const double of_uneven[] = {3.27, 5.675, 12.55, 20.825, 29.61};
    (void)state;
    near(rates_quantile(ten, 10, 0.25), 3.25, 1e-12);
    near(rates_quantile(ten, 10, 0.5), 5.5, 1e-12);
    near(rates_quantile(ten, 10, 0.75), 7.75, 1e-12);
    near(rates_quantile(ten, 10, 0.9), 9.1, 1e-12);
    near(rates_quantile(ten, 4, 0.25), 1.75, 1e-12);
    near(rates_quantile(ten, 4, 0.5), 2.5, 1e-12);
    near(rates_quantile(ten, 4, 0.75), 3.25, 1e-12);
    for (size_t i = 0; i < COUNT_OF(p); i++)
        near(rates_quantile(uneven, 10, p[i]), of_uneven[i], 1e-9);
    near(rates_quantile(ten, 1, 0.5), 1, 0);
    near(rates_quantile(ten, 10, 0), 1, 0);
    near(rates_quantile(ten, 10, 1), 10, 0);
}

/* Small numbers of strikes by line-hours, as a crew would read them: 4 in 7.5 h is 0.5333 an hour, 0.1453 to 1.3655. And the ratio
 * of totals: (2 fish, 8 h), (0, 6), (5, 10) is 7 in 24 h, 0.29167; not 0.25, the mean of the ratios. */
static void per_effort(void **state)
{
    (void)state;
    struct limits limits = rates_counts(4, 0.95);
    near(effort_per_10h(4, 27000000), 5.3333, 0.00005);
    near(limits.lo / 7.5, 0.1453, 0.00005);
    near(limits.hi / 7.5, 1.3655, 0.00005);
    near(effort_per_10h(2 + 0 + 5, (int64_t)(8 + 6 + 10) * 3600000), 2.9167, 0.00005);
}

/* The rows of a plot of few events: events, line-hours, in 10 line-hours, 95 %. */
static void small_counts_as_shown(void **state)
{
    static const struct {
        int32_t k;
        double hours, rate, lo, hi;
    } table[] = {
        {0, 10, 0, 0, 3.7},     {1, 10, 1.0, 0.03, 5.6}, {3, 12.5, 2.4, 0.5, 7.0},
        {5, 20, 2.5, 0.8, 5.8}, {12, 40, 3.0, 1.6, 5.2}, {20, 60, 3.3, 2.0, 5.1},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(table); i++) {
        int64_t line_ms = (int64_t)(table[i].hours * 3600000);
        struct limits limits = rates_counts(table[i].k, 0.95);
        near(effort_per_10h(table[i].k, line_ms), table[i].rate, 0.05);
        near(effort_per_10h(limits.lo, line_ms), table[i].lo, 0.05);
        near(effort_per_10h(limits.hi, line_ms), table[i].hi, 0.05);
    }
    assert_int_equal(effort_few(0), EFFORT_NONE);
    assert_int_equal(effort_few(4), EFFORT_DOTS);
    assert_int_equal(effort_few(5), EFFORT_FEW);
    assert_int_equal(effort_few(19), EFFORT_FEW);
    assert_int_equal(effort_few(20), EFFORT_MANY);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(exact_limits_of_counts),
        cmocka_unit_test(exact_limits_at_other_levels),
        cmocka_unit_test(exact_limits_are_half_of_chi_squared),
        cmocka_unit_test(exact_limits_leave_their_tails),
        cmocka_unit_test(limits_of_many_leave_their_tails),
        cmocka_unit_test(wilson),
        cmocka_unit_test(hybrid_score),
        cmocka_unit_test(difference_of_rates),
        cmocka_unit_test(difference_covers),
        cmocka_unit_test(quantiles),
        cmocka_unit_test(per_effort),
        cmocka_unit_test(small_counts_as_shown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
