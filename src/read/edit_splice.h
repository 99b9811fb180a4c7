/* From what is meant to splices: where a draft departs from the tree that it is a copy of, the text changes. */
#ifndef READ_EDIT_SPLICE_H
#define READ_EDIT_SPLICE_H

#include "read/draft.h"
#include "read/edit_text.h"

/* Adds the splices. They come from the parser's marks and may be wrong where a file is written in rare ways: read what comes
 * out, and compare it with the draft. */
void edit_splice(edit_text *t, const draft *root);

#endif
