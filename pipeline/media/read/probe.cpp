#include "pipeline/media/read/probe.h"

#include "pipeline/media/av.h"
#include "pipeline/media/read/describe.h"

namespace tabard::pipeline {

Result<MediaInfo> probe(std::filesystem::path const& path, std::stop_token stop)
{
    TRY_ASSIGN(auto input, av::open_input(path, std::move(stop)));
    return av::describe(input, path);
}

Result<MediaInfo> probe_film(std::filesystem::path const& path, std::stop_token stop)
{
    TRY_ASSIGN(auto info, probe(path, std::move(stop)));
    if (!info.video)
        return av::no_video(info);
    return info;
}

} // namespace tabard::pipeline
