# Completion of loomwall for bash.

_loomwall() {
    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD - 1]} command= i
    COMPREPLY=()
    for ((i = 1; i < COMP_CWORD; i++)); do
        case ${COMP_WORDS[i]} in
        open | judge | show | meter | sheets | label | edit | mend | add | kinds | why | schema | new | help | version)
            command=${COMP_WORDS[i]}
            break
            ;;
        esac
    done
    case $before in
    --out)
        mapfile -t COMPREPLY < <(compgen -d -- "$word")
        return
        ;;
    --color)
        mapfile -t COMPREPLY < <(compgen -W 'auto always never' -- "$word")
        return
        ;;
    --voltage)
        mapfile -t COMPREPLY < <(compgen -W '12V 24V' -- "$word")
        return
        ;;
    --paper)
        mapfile -t COMPREPLY < <(compgen -W 'a4 letter' -- "$word")
        return
        ;;
    --only)
        mapfile -t COMPREPLY < <(compgen -W 'diagram front panel connections labels buying' -- "$word")
        return
        ;;
    --practice)
        mapfile -t COMPREPLY < <(compgen -W 'north-america europe' -- "$word")
        return
        ;;
    esac
    case $command:$word in
    :*) mapfile -t COMPREPLY < <(compgen -W 'open judge show meter sheets label edit mend add kinds why schema new help version' -- "$word") ;;
    open:-*) mapfile -t COMPREPLY < <(compgen -W '--no-browser --port --color --help' -- "$word") ;;
    judge:-*) mapfile -t COMPREPLY < <(compgen -W '--json --threads --color --help' -- "$word") ;;
    meter:-*) mapfile -t COMPREPLY < <(compgen -W '--set --ambient --charge --against --json --color --help' -- "$word") ;;
    sheets:-*) mapfile -t COMPREPLY < <(compgen -W '--out --only --book --paper --date --threads --color --help' -- "$word") ;;
    label:-*) mapfile -t COMPREPLY < <(compgen -W '--write --retire --json --color --help' -- "$word") ;;
    mend:-*) mapfile -t COMPREPLY < <(compgen -W '--rule --where --finding --mend --write --json --threads --color --help' -- "$word") ;;
    add:-*) mapfile -t COMPREPLY < <(compgen -W '--answer --write --json --color --help' -- "$word") ;;
    edit:-*) mapfile -t COMPREPLY < <(compgen -W '--put --drop --rename --wire --move --write --json --color --help' -- "$word") ;;
    show:-*) mapfile -t COMPREPLY < <(compgen -W '--json --scene --color --help' -- "$word") ;;
    kinds:-* | why:-*) mapfile -t COMPREPLY < <(compgen -W '--json --color --help' -- "$word") ;;
    kinds:*) mapfile -t COMPREPLY < <(compgen -W "$(loomwall kinds 2>/dev/null | awk '/^[a-z]/ {print $1}')" -- "$word") ;;
    why:*) mapfile -t COMPREPLY < <(compgen -W "$(loomwall why 2>/dev/null | awk '/^[a-z]/ {print $1}')" -- "$word") ;;
    new:-*) mapfile -t COMPREPLY < <(compgen -W '--practice --voltage --name --chemistry --capacity --battery-distance --circuit --answer --color --help' -- "$word") ;;
    schema:-* | help:-* | version:-*) mapfile -t COMPREPLY < <(compgen -W '--color --help' -- "$word") ;;
    help:*) mapfile -t COMPREPLY < <(compgen -W 'open judge show meter sheets label edit mend add kinds why schema new' -- "$word") ;;
    *)
        mapfile -t COMPREPLY < <(compgen -d -- "$word")
        mapfile -t -O "${#COMPREPLY[@]}" COMPREPLY < <(compgen -f -X '!*.yaml' -- "$word"; compgen -f -X '!*.yml' -- "$word")
        ;;
    esac
}
complete -o filenames -F _loomwall loomwall
