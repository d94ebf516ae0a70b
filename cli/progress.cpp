#include "cli/progress.h"

#include "pipeline/files/progress_line.h"

#include <algorithm>

#include <fmt/chrono.h>
#include <fmt/format.h>

namespace tabard::cli {

namespace {

constexpr int kBarWidth = 28;

std::string time_left(std::chrono::steady_clock::duration spent, double share_done)
{
    if (share_done < 0.01)
        return "";
    auto const left = std::chrono::duration<double>(spent) * ((1 - share_done) / share_done);
    auto const seconds = static_cast<long>(left.count() + 0.5);
    return fmt::format("{}:{:02} left", seconds / 60, seconds % 60);
}

} // namespace

ProgressBar::ProgressBar(Console const& console, std::string label)
    : m_console(console), m_shown(console.shows_progress()), m_label(std::move(label))
{
}

ProgressBar::~ProgressBar()
{
    if (m_shown)
        m_console.draw("\r\033[K");
}

void ProgressBar::show(double share_done)
{
    auto const now = Clock::now();
    share_done = std::clamp(share_done, 0.0, 1.0);
    bool const all_done = share_done == 1 && m_share < 1;
    if ((!m_shown && !pipeline::progress_is_wanted()) || (now - m_drawn < std::chrono::milliseconds{100} && !all_done))
        return;
    m_drawn = now;
    m_share = share_done;
    pipeline::tell_progress(share_done, m_label);
    if (!m_shown)
        return;
    int const full = static_cast<int>(share_done * kBarWidth + 0.5);
    m_console.draw(fmt::format("\r\033[K{} [{:=<{}}{:<{}}] {:3.0f} %  {}", m_label, "", full, "", kBarWidth - full,
                               share_done * 100, time_left(now - m_begin, share_done)));
}

} // namespace tabard::cli
