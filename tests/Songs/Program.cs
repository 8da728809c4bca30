using System.Globalization;
using System.Text.RegularExpressions;
using RenderGraph.Songs;

// Writes short songs of invented material, a folder of stems each, to try recipes and batches on.
//
//   dotnet run --project tests/Songs -c Release -- --situation live-band --songs 200 --seconds 3 --seed 7 --out DIR
//       [--rate 48000] [--odd-names] [--break NUMBER=WHAT ...]
//
// Situations: kick-led-electronic, live-band, bass-led-without-kick, practice-room-with-bleed, spoken-word-with-music-bed; or all, each in a folder of its name.
// WHAT is wrong with a song: missing-anchor, unreadable, cut-in-header, cut-in-sound, empty, mixed-rates, not-a-number, two-anchors, silent-anchor, misspelled-settings, no-stems.
// Songs are numbered from 1 and depend on seed, situation, number and length alone. Prints what is broken: NUMBER, what, folder, with tabs between.
try
{
    var situations = Text("--situation") is "all" or null ? Enum.GetValues<Situation>() : [Named<Situation>(Text("--situation")!)];
    var songs = int.Parse(Text("--songs") ?? "3", CultureInfo.InvariantCulture);
    var seconds = double.Parse(Text("--seconds") ?? "3", CultureInfo.InvariantCulture);
    var seed = long.Parse(Text("--seed") ?? "1", CultureInfo.InvariantCulture);
    var rate = int.Parse(Text("--rate") ?? "48000", CultureInfo.InvariantCulture);
    var broken = Enumerable.Range(0, Math.Max(0, args.Length - 1)).Where(index => args[index] == "--break").Select(index => args[index + 1].Split('='))
        .ToDictionary(pair => int.Parse(pair[0], CultureInfo.InvariantCulture), pair => Named<Breakage>(pair[1]));
    var folder = Text("--out") ?? throw new FormatException("--out DIR is missing");

    foreach (var situation in situations)
    {
        var writer = new SongWriter(situation, seed, seconds, rate, args.Contains("--odd-names"));
        var target = situations.Length == 1 ? folder : Path.Combine(folder, Word(situation.ToString()));
        Parallel.For(1, songs + 1, number =>
        {
            var what = broken.TryGetValue(number, out var named) ? named : (Breakage?)null;
            var own = writer.Write(target, number, what);
            if (what is not null)
                Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{number}\t{Word(what.ToString()!)}\t{own}"));
        });
    }

    return 0;
}
catch (Exception fault) when (fault is FormatException or ArgumentException or IndexOutOfRangeException)
{
    Console.Error.WriteLine($"{fault.Message}; see the first lines of tests/Songs/Program.cs");
    return 2;
}

string? Text(string name)
{
    var at = Array.IndexOf(args, name);
    return at >= 0 && at + 1 < args.Length ? args[at + 1] : null;
}

static T Named<T>(string word)
    where T : struct, Enum => Enum.Parse<T>(word.Replace("-", "", StringComparison.Ordinal), ignoreCase: true);

static string Word(string name) => Regex.Replace(name, "(?<!^)([A-Z])", "-$1").ToLowerInvariant();
