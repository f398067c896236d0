#include "debrief/weights.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define GRAMS_PER_POUND 453.59237 /* exact, by definition */
#define UM_PER_INCH     25400.0

/* W in kg is a times the length in cm to the power of b. Round weight unless the words say otherwise. */
struct formula {
    char code[4];
    enum measure measure;
    double a, b;
    const char *words;
};

static const struct formula FORMULAS[] = {
    {"YFT", MEASURE_FORK, 2.1527e-5, 2.976, "Caveriviere 1976, in the ICCAT Manual; coefficients from memory"},
    {"BET", MEASURE_FORK, 2.396e-5, 2.9774, "Parks and others 1982, in the ICCAT Manual; coefficients from memory"},
    {"ALB", MEASURE_FORK, 1.339e-5, 3.1066, "Santiago 1993, in the ICCAT Manual; coefficients from memory"},
    {"SWO", MEASURE_LOWER_JAW_FORK, 4.203e-6, 3.2134, "Mejuto and others, IOTC-2014; round weight"},
    {"WHM", MEASURE_LOWER_JAW_FORK, 5.2068e-6, 3.0120, "Prager and others 1995; coefficients from memory, rough"},
    {"BUM", MEASURE_LOWER_JAW_FORK, 1.1955e-6, 3.3663,
     "Prager and others 1995, both sexes; coefficients from memory, rough"},
    {"BFT", MEASURE_FORK, 1.77054e-5, 3.001252, "ICCAT, western Atlantic; coefficients from memory, rough"},
    {"DOL", MEASURE_FORK, 2.17e-5, 2.786, "made in another ocean (Kerala): rough"},
};

/* Of a swordfish without head, fins and guts, Turner 1987: the other weight that a dock asks for. */
static const struct formula DRESSED = {"SWO", MEASURE_LOWER_JAW_FORK, 4.592e-6, 3.137, ""};

/* White marlin seldom pass 100 lb (common practice, no source). */
#define WHITE_MARLIN_MOST_G (100 * GRAMS_PER_POUND)

bool weight_asks_species(const char *code, int64_t grams)
{
    return strcmp(code, "WHM") == 0 && (double)grams > WHITE_MARLIN_MOST_G;
}

static double grams_by(const struct formula *formula, int64_t length_um)
{
    return formula->a * pow((double)length_um / 10000.0, formula->b) * 1000.0;
}

/* Along the body a length is a little more than straight. */
static const char *curved_words(enum measure measure)
{
    return measure == MEASURE_CURVED_FORK ? "; fed with a curved length: it reads high" : "";
}

static bool whole_fish(enum measure measure)
{
    return measure != MEASURE_NONE && measure != MEASURE_CLEITHRUM_KEEL && measure != MEASURE_PECTORAL_FORK;
}

static void by_girth(int64_t length_um, enum measure measure, int64_t girth_um, struct weight_estimate *out)
{
    double length_in = (double)length_um / UM_PER_INCH, girth_in = (double)girth_um / UM_PER_INCH;
    out->grams = llround(girth_in * girth_in * length_in / 800.0 * GRAMS_PER_POUND);
    (void)snprintf(
        out->by, sizeof out->by,
        "estimate: girth squared times length by 800, made for tarpon; read over 15 %% low there (Ault and Luo "
        "2013)%s",
        curved_words(measure));
}

static void by_length(const struct formula *formula, int64_t length_um, enum measure measure,
                      struct weight_estimate *out)
{
    char dressed[48] = "";
    if (measure != formula->measure && measure != MEASURE_CURVED_FORK) {
        (void)snprintf(out->by, sizeof out->by, "no estimate: the formula is for another way of measuring");
        return;
    }
    out->grams = llround(grams_by(formula, length_um));
    if (strcmp(formula->code, "SWO") == 0)
        (void)snprintf(dressed, sizeof dressed, "; dressed %.1f kg (Turner 1987)",
                       grams_by(&DRESSED, length_um) / 1000.0);
    (void)snprintf(out->by, sizeof out->by, "estimate by length alone: %s%s%s", formula->words, dressed,
                   measure != formula->measure ? curved_words(measure) : "");
}

void weight_estimate(const char *code, int64_t length_um, enum measure measure, int64_t girth_um,
                     struct weight_estimate *out)
{
    memset(out, 0, sizeof *out);
    if (length_um <= 0)
        return;
    if (!whole_fish(measure)) {
        (void)snprintf(out->by, sizeof out->by,
                       measure == MEASURE_NONE ? "no estimate: it is not told how it was measured"
                                               : "no estimate of a fish without its head");
        return;
    }
    const struct formula *formula = NULL;
    for (size_t i = 0; i < sizeof FORMULAS / sizeof FORMULAS[0]; i++)
        formula = strcmp(FORMULAS[i].code, code) == 0 ? &FORMULAS[i] : formula;
    if (girth_um > 0)
        by_girth(length_um, measure, girth_um, out);
    else if (formula)
        by_length(formula, length_um, measure, out);
    else
        (void)snprintf(out->by, sizeof out->by, "no estimate by length alone for this species: measure the girth");
    out->check_species = weight_asks_species(code, out->grams);
}
