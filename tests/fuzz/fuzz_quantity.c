/* Fuzzer of the quantity parser: whatever the bytes, it either refuses with a reason and touches nothing, or gives a
 * finite value that prints and reads back. With libFuzzer through `make fuzz`; replay.c feeds the corpus in
 * `make test`. */
#include "base/arena.h"
#include "units/quantity.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

static void require(bool is_true)
{
    if (!is_true) abort();
}

static void check_reads_back(const quantity *q, arena *a)
{
    const int digits = 12;
    const char *text = quantity_text(q->value, q->dimension, digits, a);
    quantity again;
    const char *wrong = NULL;
    require(quantity_parse(text, strlen(text), &again, a, &wrong));
    require(again.dimension == q->dimension);
    /* Printing rounds to 12 digits in the unit shown, counts what is below 1e-12 of it as nothing, and a temperature
     * is rounded in degC. */
    double scale = q->dimension == DIMENSION_TEMPERATURE ? q->value + 273.15 : fabs(q->value);
    require(fabs(again.value - q->value) <= 1e-11 * scale + 1e-7);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    arena *a = arena_create();
    if (a == NULL) return 0;
    const quantity untouched = {.value = 42, .dimension = DIMENSION_SPEED, .gauge = 7};
    quantity q = untouched;
    const char *wrong = NULL;
    if (quantity_parse((const char *)bytes, n, &q, a, &wrong)) {
        require(isfinite(q.value) && q.dimension < N_DIMENSIONS && wrong == NULL);
        require(!q.is_gauge || (q.dimension == DIMENSION_AREA && q.gauge >= -3 && q.gauge <= 40));
        check_reads_back(&q, a);
    } else {
        require(wrong != NULL && wrong[0] != '\0' && strlen(wrong) < 200);
        require(q.value == untouched.value && q.dimension == untouched.dimension && q.gauge == untouched.gauge);
    }
    arena_destroy(a);
    return 0;
}
