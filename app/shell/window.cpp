#include "app/shell/window.hpp"

#define GLFW_INCLUDE_NONE
#include <GL/gl.h>
#include <GLFW/glfw3.h>
#include <imgui.h>
#include <imgui_impl_opengl3.h>

#include <array>
#include <atomic>
#include <utility>
#include <vector>

#include "app/shell/key_queue.hpp"
#include "app/shell/pointer_queue.hpp"

namespace fettle::app {

struct Window::Inside {
    GLFWwindow* window = nullptr;
    bool has_renderer = false;
    KeyQueue keys;
    PointerQueue pointer;
    bool had_input = true;
    std::atomic<bool> is_woken{false};

    Inside() = default;
    Inside(const Inside&) = delete;
    Inside& operator=(const Inside&) = delete;
    ~Inside() {
        if (has_renderer) ImGui_ImplOpenGL3_Shutdown();
        if (window != nullptr) glfwDestroyWindow(window);
        glfwTerminate();
    }
};

namespace {

std::string system_said() {
    const char* words = nullptr;
    glfwGetError(&words);
    std::string said = words == nullptr ? "" : words;
    while (said.ends_with(' ')) said.pop_back();  // GLFW 3.3.8 ends some of its sentences so
    return said;
}

/// Kind of OpenGL, best first; both know what the renderer needs.
struct Kind {
    int major, minor;
    bool is_core;
    const char* shaders;
};
constexpr std::array<Kind, 2> k_kinds{{{3, 2, true, "#version 150"}, {3, 0, false, "#version 130"}}};

std::vector<Place> screens() {
    std::vector<Place> places;
    int count = 0;
    GLFWmonitor** monitors = glfwGetMonitors(&count);
    for (int i = 0; i < count; ++i) {
        Place place;
        glfwGetMonitorWorkarea(monitors[i], &place.x, &place.y, &place.w, &place.h);
        places.push_back(place);
    }
    return places;
}

GLFWwindow* create(const WindowWish& wish, const Kind& kind) {
    glfwDefaultWindowHints();
    glfwWindowHint(GLFW_CONTEXT_VERSION_MAJOR, kind.major);
    glfwWindowHint(GLFW_CONTEXT_VERSION_MINOR, kind.minor);
    if (kind.is_core) glfwWindowHint(GLFW_OPENGL_PROFILE, GLFW_OPENGL_CORE_PROFILE);
    glfwWindowHint(GLFW_VISIBLE, GLFW_FALSE);  // first to its place, then seen
    glfwWindowHintString(GLFW_X11_CLASS_NAME, "fettle");
    glfwWindowHintString(GLFW_X11_INSTANCE_NAME, "fettle");
    return glfwCreateWindow(wish.place.w, wish.place.h, wish.title.c_str(), nullptr, nullptr);
}

KeyChange change_of(int action) {
    if (action == GLFW_PRESS) return KeyChange::down;
    return action == GLFW_REPEAT ? KeyChange::repeat : KeyChange::up;
}

/// Drawn px for each unit of the window: more than 1 where the system enlarges windows.
ui::Point px_per_unit(GLFWwindow* window) {
    int w = 0, h = 0, fw = 0, fh = 0;
    glfwGetWindowSize(window, &w, &h);
    glfwGetFramebufferSize(window, &fw, &fh);
    if (w <= 0 || h <= 0) return {1, 1};
    return {static_cast<float>(fw) / static_cast<float>(w), static_cast<float>(fh) / static_cast<float>(h)};
}

template <typename State>
State& state_of(GLFWwindow* window) {
    auto& state = *static_cast<State*>(glfwGetWindowUserPointer(window));
    state.had_input = true;
    return state;
}

template <typename State>
void listen_to_keys(GLFWwindow* window) {
    glfwSetKeyCallback(window, [](GLFWwindow* w, int key, int scancode, int action, int mods) {
        const char* printed = glfwGetKeyName(key, scancode);
        state_of<State>(w).keys.on_key(
            key_meaning(key, scancode, printed == nullptr ? "" : printed), change_of(action),
            {(mods & GLFW_MOD_SHIFT) != 0, (mods & GLFW_MOD_CONTROL) != 0, (mods & GLFW_MOD_ALT) != 0});
    });
    glfwSetCharCallback(
        window, [](GLFWwindow* w, unsigned character) { state_of<State>(w).keys.on_character(character); });
}

template <typename State>
void listen_to_pointer(GLFWwindow* window) {
    glfwSetCursorPosCallback(window, [](GLFWwindow* w, double x, double y) {
        const ui::Point px = px_per_unit(w);
        state_of<State>(w).pointer.on_move({static_cast<float>(x) * px.x, static_cast<float>(y) * px.y});
    });
    glfwSetCursorEnterCallback(window, [](GLFWwindow* w, int is_in) {
        if (is_in == GLFW_FALSE) state_of<State>(w).pointer.on_leave();
    });
    glfwSetMouseButtonCallback(window, [](GLFWwindow* w, int button, int action, int) {
        if (button == GLFW_MOUSE_BUTTON_LEFT) state_of<State>(w).pointer.on_button(action == GLFW_PRESS);
    });
    glfwSetScrollCallback(window, [](GLFWwindow* w, double, double y) {
        state_of<State>(w).pointer.on_wheel(static_cast<float>(y));
    });
}

template <typename State>
void listen_to_window(GLFWwindow* window) {
    glfwSetWindowRefreshCallback(window, [](GLFWwindow* w) { state_of<State>(w); });
    glfwSetFramebufferSizeCallback(window, [](GLFWwindow* w, int, int) { state_of<State>(w); });
    glfwSetWindowFocusCallback(window, [](GLFWwindow* w, int) { state_of<State>(w); });
    glfwSetWindowCloseCallback(window, [](GLFWwindow* w) { state_of<State>(w); });
}

}  // namespace

Window::Window(std::unique_ptr<Inside> inside) : inside_(std::move(inside)) {}
Window::~Window() = default;

Result<std::unique_ptr<Window>> Window::open(const WindowWish& wish) {
    if (glfwInit() == GLFW_FALSE) return fail(Errc::unsupported, "display", system_said());
    auto inside = std::make_unique<Inside>();
    const Kind* kind = nullptr;
    for (const Kind& tried : k_kinds) {
        inside->window = create(wish, tried);
        if (inside->window == nullptr) continue;
        kind = &tried;
        break;
    }
    if (kind == nullptr) return fail(Errc::unsupported, "opengl", system_said());
    glfwMakeContextCurrent(inside->window);
    // Showing never waits for the screen: a hidden or far window would stop this thread. The shell keeps the
    // pace.
    glfwSwapInterval(0);
    if (!ImGui_ImplOpenGL3_Init(kind->shaders)) return fail(Errc::unsupported, "opengl");
    inside->has_renderer = true;
    glfwSetWindowSizeLimits(inside->window, k_least_width, k_least_height, GLFW_DONT_CARE, GLFW_DONT_CARE);
    if (wish.has_place && is_seen(wish.place, screens()))
        glfwSetWindowPos(inside->window, wish.place.x, wish.place.y);
    glfwSetWindowUserPointer(inside->window, inside.get());
    listen_to_keys<Inside>(inside->window);
    listen_to_pointer<Inside>(inside->window);
    listen_to_window<Inside>(inside->window);
    glfwShowWindow(inside->window);
    return std::unique_ptr<Window>(new Window(std::move(inside)));
}

void Window::wait(std::int64_t us) {
    if (us <= 0)
        glfwPollEvents();
    else
        glfwWaitEventsTimeout(static_cast<double>(us) * 1e-6);
}

void Window::wake() {
    if (!inside_->is_woken.exchange(true)) glfwPostEmptyEvent();
}

bool Window::is_woken() const {
    return inside_->is_woken.load();
}

void Window::take_woken() {
    inside_->is_woken.store(false);
}

bool Window::take_had_input() {
    return std::exchange(inside_->had_input, false);
}

bool Window::wants_close() const {
    return glfwWindowShouldClose(inside_->window) == GLFW_TRUE;
}

bool Window::is_hidden() const {
    int w = 0, h = 0;
    glfwGetFramebufferSize(inside_->window, &w, &h);
    return w <= 0 || h <= 0 || glfwGetWindowAttrib(inside_->window, GLFW_ICONIFIED) == GLFW_TRUE;
}

ui::Input Window::take_input(std::int64_t now_ms) {
    ui::Input input;
    int w = 0, h = 0;
    glfwGetFramebufferSize(inside_->window, &w, &h);
    const PointerNow pointer = inside_->pointer.take_frame();
    input.now_ms = now_ms;
    input.size = {static_cast<float>(w), static_cast<float>(h)};
    input.pointer = pointer.place;
    input.primary_down = pointer.primary_down;
    input.wheel = pointer.wheel;
    input.keys = inside_->keys.take();
    return input;
}

bool Window::has_more_input() const {
    return inside_->pointer.has_more() || !inside_->keys.is_empty();
}

void Window::renew_letters() {
    ImGui_ImplOpenGL3_DestroyFontsTexture();
    ImGui_ImplOpenGL3_CreateFontsTexture();
}

void Window::begin_frame() {
    ImGui_ImplOpenGL3_NewFrame();
}

void Window::draw(ImDrawData* data, ui::Color ground) {
    int w = 0, h = 0;
    glfwGetFramebufferSize(inside_->window, &w, &h);
    const auto part = [](std::uint8_t byte) { return static_cast<float>(byte) / 255.0f; };
    glViewport(0, 0, w, h);
    glClearColor(part(ground.r), part(ground.g), part(ground.b), 1.0f);
    glClear(GL_COLOR_BUFFER_BIT);
    ImGui_ImplOpenGL3_RenderDrawData(data);
}

Picture Window::read_picture() const {
    int w = 0, h = 0;
    glfwGetFramebufferSize(inside_->window, &w, &h);
    Picture picture{static_cast<std::uint32_t>(w), static_cast<std::uint32_t>(h), {}};
    picture.pixels.resize(std::size_t{3} * picture.width * picture.height);
    glPixelStorei(GL_PACK_ALIGNMENT, 1);
    glReadPixels(0, 0, w, h, GL_RGB, GL_UNSIGNED_BYTE, picture.pixels.data());
    return picture;
}

void Window::show() {
    glfwSwapBuffers(inside_->window);
}

float Window::content_scale() const {
    float x = 1, y = 1;
    glfwGetWindowContentScale(inside_->window, &x, &y);
    return x > y ? x : y;
}

Place Window::place() const {
    Place place;
    glfwGetWindowPos(inside_->window, &place.x, &place.y);
    glfwGetWindowSize(inside_->window, &place.w, &place.h);
    return place;
}

}  // namespace fettle::app
