using RenderGraph.Graph.Diagnostics;

namespace RenderGraph.Graph.Binding;

/// <summary>
/// A pattern of file names, without folder and ending: <c>*</c> stands for any characters or none, <c>?</c> for one, <c>[abc]</c>, <c>[a-z]</c> and <c>[!0-9]</c> for one of a set or one that is not in it.
/// Letter case and the composition of accented letters play no part.
/// </summary>
public sealed class NamePattern
{
    /// <summary>A pattern may be this long: no file name is longer.</summary>
    public const int LengthLimit = 255;

    private const string AnyRun = "*", AnyOne = "?", SetStart = "[", SetEnd = "]", Not = "!", Range = "-";

    private readonly IReadOnlyList<Part> _parts;

    private NamePattern(string written, TextPosition at, bool isExclusion, IReadOnlyList<Part> parts) => (Written, At, IsExclusion, _parts) = (written, at, isExclusion, parts);

    /// <summary>As it stands in the recipe.</summary>
    public string Written { get; }

    /// <summary>Where it stands.</summary>
    public TextPosition At { get; }

    /// <summary>Whether it begins with <c>!</c>: what it fits is not taken.</summary>
    public bool IsExclusion { get; }

    /// <summary>Whether it fits every name.</summary>
    public bool FitsAll => _parts is [{ Kind: PartKind.AnyRun }];

    /// <summary>Reads a pattern.</summary>
    /// <param name="refuse">Told why it is none: a sentence after "the pattern ... ", and a remedy.</param>
    public static NamePattern? Read(string written, TextPosition at, Action<string, string> refuse)
    {
        var isExclusion = written.StartsWith('!');
        var signs = WrittenCharacter.Split(isExclusion ? written[1..] : written);
        if (signs.Count == 0)
            return Refuse("is empty", "Write what a file's name looks like, such as \"*kick*\"");
        if (written.Length > LengthLimit)
            return Refuse("is longer than 255 characters, and no file name is", "Write only what tells the name from others, with * for the rest");
        if (written.Any(unit => unit is '/' or '\\'))
            return Refuse("names a folder, but patterns are for the names of files alone", "Write the name without folders; where it lies plays no part");

        var parts = new List<Part>();
        for (var index = 0; index < signs.Count; index++)
        {
            switch (signs[index])
            {
                case AnyRun:
                    if (parts is not [.., { Kind: PartKind.AnyRun }])
                        parts.Add(new(PartKind.AnyRun, []));
                    break;
                case AnyOne:
                    parts.Add(new(PartKind.AnyOne, []));
                    break;
                case SetStart:
                    if (ReadSet(signs, ref index) is not { } set)
                        return Refuse("has a [ that is never closed", "Close the set with ], or write [[] for the character itself");
                    if (set.Members.Any(member => string.CompareOrdinal(member.First, member.Last) > 0))
                        return Refuse("has a range that runs backwards", "Write the earlier character first, such as [a-z]");
                    parts.Add(set);
                    break;
                case var sign:
                    parts.Add(new(PartKind.Character, [(sign, sign)]));
                    break;
            }
        }

        return new(written, at, isExclusion, parts);

        NamePattern? Refuse(string sentence, string remedy)
        {
            refuse(sentence, remedy);
            return null;
        }
    }

    /// <summary>A pattern that fits this name and no other.</summary>
    public static string Literal(string name) => string.Concat(name.Select((unit, index) => unit is '*' or '?' or '[' ? $"[{unit}]" : unit == '!' && index == 0 ? "?" : unit.ToString()));

    /// <summary>Whether it fits a name; an exclusion then forbids it.</summary>
    public bool Fits(string name) => Fits(WrittenCharacter.Split(name));

    /// <summary>The same of a name's characters.</summary>
    internal bool Fits(IReadOnlyList<string> signs)
    {
        var (sign, part) = (0, 0);
        var (afterRun, runEnd) = (-1, 0); // where to go on if the last * must stand for one character more
        while (sign < signs.Count)
        {
            if (part < _parts.Count && _parts[part].Kind == PartKind.AnyRun)
                (afterRun, runEnd) = (++part, sign);
            else if (part < _parts.Count && _parts[part].Takes(signs[sign]))
                (sign, part) = (sign + 1, part + 1);
            else if (afterRun >= 0)
                (sign, part) = (++runEnd, afterRun);
            else
                return false;
        }

        return _parts.Skip(part).All(rest => rest.Kind == PartKind.AnyRun);
    }

    // As POSIX has it: a ] that comes first is a member.
    private static Part? ReadSet(IReadOnlyList<string> signs, ref int index)
    {
        var next = index + 1;
        var isNegated = next < signs.Count && signs[next] == Not;
        if (isNegated)
            next++;
        var members = new List<(string First, string Last)>();
        while (next < signs.Count && (signs[next] != SetEnd || members.Count == 0))
        {
            var isRange = next + 2 < signs.Count && signs[next + 1] == Range && signs[next + 2] != SetEnd;
            members.Add((signs[next], signs[isRange ? next + 2 : next]));
            next += isRange ? 3 : 1;
        }

        if (next >= signs.Count)
            return null;
        index = next;
        return new(isNegated ? PartKind.OtherThan : PartKind.OneOf, members);
    }

    private enum PartKind
    {
        Character,
        AnyOne,
        AnyRun,
        OneOf,
        OtherThan,
    }

    private sealed record Part(PartKind Kind, IReadOnlyList<(string First, string Last)> Members)
    {
        public bool Takes(string sign) => Kind switch
        {
            PartKind.AnyOne => true,
            PartKind.OtherThan => !Has(sign),
            _ => Has(sign),
        };

        private bool Has(string sign)
        {
            foreach (var (first, last) in Members)
            {
                if (string.CompareOrdinal(sign, first) >= 0 && string.CompareOrdinal(sign, last) <= 0)
                    return true;
            }

            return false;
        }
    }
}
