#include "overlay/sheet/pagination.h"

#include <algorithm>
#include <utility>

namespace tabard::overlay::sheet {
namespace {

constexpr double kFullEnough = 1.0 / 3; ///< of the last page

/// One past the last block that must share a page with block `first`: the rest of its group if it begins one, else
/// what a heading leads to.
std::size_t end_of_unit(std::vector<Block> const& blocks, std::size_t first)
{
    std::size_t end = first + 1;
    if (blocks[first].group != 0)
        while (end < blocks.size() && blocks[end].group == blocks[first].group)
            ++end;
    while (end < blocks.size() && blocks[end - 1].with_next)
        ++end;
    return end;
}

double height_of(std::vector<Block> const& blocks, std::size_t first, std::size_t end)
{
    double height = blocks[first].height;
    for (std::size_t i = first + 1; i < end; ++i)
        height += blocks[i].space_before + blocks[i].height;
    return height;
}

class Paginator {
public:
    Paginator(std::vector<Block> const& blocks, double height, double continued_height)
        : m_blocks(blocks), m_height(height), m_continued_height(continued_height), m_pages(1)
    {
    }

    std::vector<Page> run()
    {
        for (std::size_t first = 0; first < m_blocks.size();) {
            std::size_t const end = end_of_unit(m_blocks, first);
            double const unit = height_of(m_blocks, first, end);
            if (unit <= m_height) {
                if (!fits(m_blocks[first].space_before + unit))
                    new_page();
                for (std::size_t i = first; i < end; ++i)
                    place(m_blocks[i]);
            } else {
                tear(first, end);
            }
            first = end;
        }
        return std::move(m_pages);
    }

private:
    bool fits(double height) const { return m_pages.back().empty() || m_y + height <= m_height; }
    void new_page()
    {
        m_pages.emplace_back();
        m_y = 0;
    }
    void place(Block const& block)
    {
        double const y = m_pages.back().empty() ? 0 : m_y + block.space_before;
        m_pages.back().push_back({&block, y, ""});
        m_y = y + block.height;
    }
    /// A unit that no page holds: it begins where three blocks of it fit, and goes on from page to page.
    void tear(std::size_t first, std::size_t end)
    {
        std::size_t const opening = std::min(end, first + 3);
        if (!fits(m_blocks[first].space_before + height_of(m_blocks, first, opening)))
            new_page();
        for (std::size_t i = first; i < end; ++i) {
            // Two rows at the end stay together.
            bool const before_last = i + 2 == end && i > first + 2;
            double const needed = m_blocks[i].space_before + height_of(m_blocks, i, before_last ? end : i + 1);
            if (!fits(needed)) {
                new_page();
                if (!m_blocks[i].continued.empty()) {
                    m_pages.back().push_back({&m_blocks[i], m_continued_height, m_blocks[i].continued});
                    m_y = m_continued_height + m_blocks[i].height;
                    continue;
                }
            }
            place(m_blocks[i]);
        }
    }

    std::vector<Block> const& m_blocks;
    double m_height;
    double m_continued_height;
    std::vector<Page> m_pages;
    double m_y = 0;
};

double filled(Page const& page) { return page.empty() ? 0 : page.back().y + page.back().block->height; }

/// The tallest of what a page of `height` keeps whole.
double tallest_unit(std::vector<Block> const& blocks, double height)
{
    double tallest = 0;
    for (std::size_t first = 0; first < blocks.size(); first = end_of_unit(blocks, first))
        if (double const unit = height_of(blocks, first, end_of_unit(blocks, first)); unit <= height)
            tallest = std::max(tallest, unit);
    return tallest;
}

} // namespace

std::vector<Page> paginate(std::vector<Block> const& blocks, double height, double continued_height)
{
    auto pages = Paginator{blocks, height, continued_height}.run();
    if (pages.size() < 2 || filled(pages.back()) > height * kFullEnough)
        return pages;
    // So little on the last page reads as left over: the pages before it give some of theirs.
    double too_low = std::max(height / 2, tallest_unit(blocks, height));
    double enough = height;
    while (enough - too_low > 1) {
        double const middle = (too_low + enough) / 2;
        auto even = Paginator{blocks, middle, continued_height}.run();
        if (even.size() > pages.size()) {
            too_low = middle;
            continue;
        }
        enough = middle;
        pages = std::move(even);
    }
    return pages;
}

} // namespace tabard::overlay::sheet
