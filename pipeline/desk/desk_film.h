#pragma once
#include "pipeline/desk/lesson_json.h"
#include "pipeline/workspace/known_film.h"

#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <vector>

namespace tabard::pipeline {

/// What is read of the lesson's film beside its headers, in the background, once for each film. Thread-safe.
class DeskFilm {
public:
    explicit DeskFilm(std::function<void(FilmState const&)> told);
    /// Ends what is being read.
    ~DeskFilm();

    /// Which film it is about from now on; where it is another one, or was written anew, all is read again.
    void take(KnownFilm const& film);

    FilmState state() const;
    /// What a browser can play; none while it is being made, or where there is nothing.
    std::optional<std::filesystem::path> playable() const;

    using Frames = std::shared_ptr<std::vector<Time> const>;
    /// When each frame begins; null while it is being read. Errors: as read_picture_times().
    Result<Frames> frames() const;

private:
    struct Impl;
    std::unique_ptr<Impl> m_impl;
};

} // namespace tabard::pipeline
