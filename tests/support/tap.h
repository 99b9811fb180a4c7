/* The cases of a suite as TAP on standard output; the exit status. */
#ifndef LOOMWALL_TAP_H
#define LOOMWALL_TAP_H
#include <check.h>
#include <stdlib.h>

static inline int tap_run(Suite *s)
{
    SRunner *r = srunner_create(s);
    srunner_set_tap(r, "-");
    srunner_run_all(r, CK_SILENT);
    int n_failed = srunner_ntests_failed(r);
    srunner_free(r);
    return n_failed ? EXIT_FAILURE : EXIT_SUCCESS;
}

#endif
