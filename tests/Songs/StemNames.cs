using System.Globalization;
using System.Text;

namespace RenderGraph.Songs;

/// <summary>How stems are called once they were exported: everybody has a way of their own, and keeps to it within a song, mostly.</summary>
internal static class StemNames
{
    /// <summary>File names for these parts, in their order; no two are the same, in either case.</summary>
    public static IReadOnlyList<string> Of(IReadOnlyList<Part> parts, string title, Dice dice)
    {
        var prefix = dice.Below(6);
        var letters = dice.Below(5);
        var joint = dice.Of(" ", "_", "-", " ");
        var ending = dice.Of("", "", "", "_01", " (1)", "_48k", " - take 2", "_BIP");
        var extension = dice.Of(".wav", ".wav", ".wav", ".WAV", ".Wav");

        var taken = new HashSet<string>(StringComparer.OrdinalIgnoreCase);
        var names = new List<string>();
        foreach (var part in parts)
        {
            var name = letters switch
            {
                0 => part.Name.ToLowerInvariant(),
                1 => part.Name.ToUpperInvariant(),
                2 => dice.OneIn(3) ? part.Name.ToLowerInvariant() : part.Name,
                _ => part.Name,
            };
            name = name.Replace(" ", joint, StringComparison.Ordinal);
            var number = names.Count + 1;
            name = prefix switch
            {
                0 => string.Create(CultureInfo.InvariantCulture, $"{number:00}_{name}"),
                1 => string.Create(CultureInfo.InvariantCulture, $"{number:00} {name}"),
                2 => string.Create(CultureInfo.InvariantCulture, $"{number:00}-{name}"),
                3 => $"{title} - {name}",
                4 => $"{title.Replace(" ", "", StringComparison.Ordinal)}_{name}",
                _ => name,
            } + ending;
            while (!taken.Add(name))
                name += " b";
            names.Add(name + extension);
        }

        return names;
    }

    /// <summary>The same names made hard on programs: a leading dash, brackets, doubled spaces, letters in two pieces. The words in them stay.</summary>
    public static IReadOnlyList<string> Odd(IReadOnlyList<string> names, Dice dice) =>
    [
        .. names.Select(name =>
        {
            var (stem, extension) = (Path.GetFileNameWithoutExtension(name), Path.GetExtension(name));
            return dice.Below(6) switch
            {
                0 => $"-{stem}{extension}",
                1 => $"[{stem}]{extension}",
                2 => $"{stem} {{été, 雪}}{extension}",
                3 => $"  {stem}  {extension}",
                4 => $"{stem} {"e\u0301toile"}{extension}",
                _ => $"{stem}'s & $1 %20{extension}",
            };
        }),
    ];
}
