#pragma once
#include "pipeline/desk/view/lesson_json.h"
#include "pipeline/workspace/known_film.h"

#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// Where what is made of a film is kept, under its fingerprint.
struct FilmFolders {
    std::filesystem::path state; ///< what is small: how loud it is
    std::filesystem::path cache; ///< stand-ins
};

/// What is read and made of the lesson's film beside its headers, in the background and at low priority, once for each
/// film. Thread-safe.
class DeskFilm {
public:
    /// `told` hears each state that it comes to, from other threads.
    DeskFilm(FilmFolders folders, std::function<void(FilmState const&)> told);
    /// Ends what is being read and made.
    ~DeskFilm();

    /// Which film it is about from now on; where it is another one, or was written anew, all is read again.
    void take(KnownFilm const& film);

    FilmState state() const;
    /// What a browser can play; none while it is being made, or where there is nothing.
    std::optional<std::filesystem::path> playable() const;

    using Frames = std::shared_ptr<std::vector<Time> const>;
    /// When each frame begins; null while it is being read. Errors: as read_picture_times().
    Result<Frames> frames() const;

    using Waveform = std::shared_ptr<std::string const>;
    /// As read_waveform(); null while it is being read.
    Result<Waveform> waveform() const;

private:
    struct Impl;
    std::unique_ptr<Impl> m_impl;
};

} // namespace tabard::pipeline
