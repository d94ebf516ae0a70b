#include "overlay/sheet/page.h"

namespace tabard::overlay::sheet {

PageSize page_size(Paper paper)
{
    switch (paper) {
    case Paper::a4:
        return {210 * kPointsPerMillimetre, 297 * kPointsPerMillimetre};
    case Paper::letter:
        return {8.5 * 72, 11 * 72};
    }
    return {};
}

Sizes sizes(SheetOptions const& options)
{
    if (options.large_print)
        return {18, 19, 23, 34, kSmallestSign * 18, 18, 2, 1};
    return {9, 10, 13, 27, kSmallestSign * 9, 9, 1, 1};
}

} // namespace tabard::overlay::sheet
