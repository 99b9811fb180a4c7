"""One case a line as TAP, for tests that are programs of their own. What went wrong stands below the case as comments."""

MOST_LINES, MOST_WIDTH = 40, 400  # of a detail: what differs shows at its start

n_cases = n_failed = 0


def case(name, is_good, *details):
    global n_cases, n_failed
    n_cases += 1
    n_failed += not is_good
    print(f"{'ok' if is_good else 'not ok'} {n_cases} - {name}", flush=True)
    if not is_good:
        for detail in details:
            for line in str(detail).splitlines()[:MOST_LINES]:
                print("# " + line[:MOST_WIDTH])


def finish():
    """The plan, which comes last; the exit status."""
    print(f"1..{n_cases}")
    return 1 if n_failed else 0
