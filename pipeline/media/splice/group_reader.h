#pragma once
#include "overlay/base/result.h"
#include "pipeline/media/coded_group.h"
#include "pipeline/media/splice/splice_source.h"

#include <memory>
#include <optional>
#include <stop_token>

namespace tabard::pipeline {

/// The groups of a film in order, as they were coded. Move-only; one thread at a time.
class GroupReader {
public:
    static Result<GroupReader> open(SpliceSource const& source, std::stop_token stop = {});
    GroupReader(GroupReader&&) noexcept;
    GroupReader& operator=(GroupReader&&) noexcept;
    ~GroupReader();

    /// None after the last group of `source`. Errors: decode if the film has changed since it was inspected;
    /// interrupted.
    Result<std::optional<CodedGroup>> next();

private:
    struct Impl;
    explicit GroupReader(std::unique_ptr<Impl> impl);
    std::unique_ptr<Impl> m_impl;
};

} // namespace tabard::pipeline
