#pragma once
// The steps of the demo, one a function. The scenario: a volunteer who catalogues a community tool library,
// with a five-way handheld remote, a cheek switch and a foot switch.

#include <memory>
#include <string>
#include <vector>

#include "app/arguments.hpp"
#include "app/profile_file.hpp"
#include "core/link/session.hpp"
#include "core/sim/sim_device.hpp"
#include "core/trace/recording.hpp"

namespace fettle::app {

class Demo {
public:
    Demo(const Program& program, const DemoArgs& args, ProfileFile file);

    Status find();
    Status teach();
    Status assign();
    Status shape();
    Status check();
    Status push();
    Status press();
    Status measure();
    Status keep();
    Status read_back();
    Status let_it_run_out();

private:
    void step(const std::string& title);
    void say(const std::string& line);
    void take(const link::TimedEvent& timed);
    /// Presses one of the profile's inputs now, and lets the time pass until it is over and `rest_ms` more.
    Status work(const std::string& input, std::uint32_t hold_ms, std::uint32_t rest_ms = 500);
    Status expect(bool holds, const std::string& what) const;
    Status open_session();
    Status measure_hold(int hold, bool& moved);
    Status push_on_trial(std::uint16_t trial_s);
    std::string now() const;

    const Program& program_;
    bool pauses_;
    ProfileFile wanted_;  ///< the document of the assets
    ProfileFile made_;    ///< the profile as it comes into being
    std::shared_ptr<sim::SimDevice> device_;
    std::unique_ptr<link::Session> session_;
    trace::Recording recording_;
    wire::TrialReply trial_{};
    std::vector<std::uint8_t> kept_image_;
    bool tells_events_ = false;
    int number_ = 0;
};

}  // namespace fettle::app
