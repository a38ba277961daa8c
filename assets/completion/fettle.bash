# bash completion for fettle: commands first, then the files and options that the command takes.
_fettle()
{
    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD - 1]}
    local commands="window demo devices info read write keep revert extend release check explain teach watch decode simulate curve"
    COMPREPLY=()
    if ((COMP_CWORD == 1)); then
        mapfile -t COMPREPLY < <(compgen -W "$commands --help --version --scale --theme --language" -- "$word")
        return
    fi
    case $before in
        --device)
            # Nodes, serial numbers and sockets of what is attached; the simulated device. A device names itself,
            # and compgen -W expands its words: only letters, digits and / . : _ - pass.
            local known
            known=$("${COMP_WORDS[0]}" devices --json 2>/dev/null |
                sed -nE 's/^ *"(path|serial|place|fallback_path)": "([A-Za-z0-9/.:_-]+)",?$/\2/p')
            mapfile -t COMPREPLY < <(compgen -W "$known sim" -- "$word" | sort -u)
            return
            ;;
        --theme)
            mapfile -t COMPREPLY < <(compgen -W "dark light contrast" -- "$word")
            return
            ;;
        --language)
            mapfile -t COMPREPLY < <(compgen -W "en de" -- "$word")
            return
            ;;
        --data-folder | --screenshot)
            mapfile -t COMPREPLY < <(compgen -d -- "$word")
            return
            ;;
    esac
    if [[ $word == -* ]]; then
        # The program knows its own options best.
        local options
        options=$("${COMP_WORDS[0]}" "${COMP_WORDS[1]}" --help 2>/dev/null | grep -oE -- '--[a-z][a-z-]*' | sort -u)
        mapfile -t COMPREPLY < <(compgen -W "$options" -- "$word")
        return
    fi
    mapfile -t COMPREPLY < <(compgen -f -- "$word")
}
complete -o filenames -F _fettle fettle
