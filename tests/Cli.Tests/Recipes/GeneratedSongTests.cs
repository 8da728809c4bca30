using RenderGraph.Songs;
using Xunit;

namespace RenderGraph.Cli.Tests.Recipes;

/// <summary>What recipes and batches are tried on must itself be as it says.</summary>
public sealed class GeneratedSongTests : IDisposable
{
    private readonly TempFolder _folder = new();

    public static TheoryData<Situation> Situations => [.. Enum.GetValues<Situation>()];

    [Theory]
    [MemberData(nameof(Situations))]
    public void ASongIsTheSameBytesWheneverItIsPlayedAndOthersDiffer(Situation situation)
    {
        var first = Write(situation, "a", 3);
        var again = Write(situation, "b", 3);
        Assert.Equal(Names(first), Names(again));
        foreach (var name in Names(first))
            Assert.Equal(File.ReadAllBytes(Path.Combine(first, name)), File.ReadAllBytes(Path.Combine(again, name)));
        Assert.NotEqual(Path.GetFileName(first), Path.GetFileName(Write(situation, "c", 4)));
    }

    [Fact]
    public void TheReadmesSongsAreCalledAsItSays()
    {
        var writer = new SongWriter(Situation.LiveBand, seed: 1, seconds: 10, sampleRateHz: 8000, isOdd: false);
        Assert.Equal(["001 Idle Yards", "002 Quiet Ladders", "003 Copper Nettles"], Enumerable.Range(1, 3).Select(number => Path.GetFileName(writer.Write(_folder.Path, number))));
        Assert.Equal(
            ["BD-In (1).WAV", "Bass-Gtr (1).WAV", "E-Gtr-1 (1).WAV", "Guitar-R (1).WAV", "Lead-Vox (1).WAV", "Overheads (1).WAV", "SN (1).WAV"], Names(_folder["003 Copper Nettles"]));
    }

    [Theory]
    [MemberData(nameof(Situations))]
    public void NoStemIsSilentOrClippedAndOneIsTheAnchor(Situation situation)
    {
        var song = new SongWriter(situation, seed: 1, seconds: 3, sampleRateHz: 24_000, isOdd: false).Play(5);
        Assert.Single(song.Parts, part => part.IsAnchor);
        foreach (var part in song.Parts)
        {
            var peak = 0.0;
            foreach (var sample in part.Sound[0])
                peak = Math.Max(peak, Math.Abs(sample));
            Assert.InRange(peak, 0.01, 0.99);
        }
    }

    [Fact]
    public void OddNamesHaveAllThatIsHardOnPrograms()
    {
        var writer = new SongWriter(Situation.LiveBand, seed: 1, seconds: 0.1, sampleRateHz: 8000, isOdd: true);
        var folders = Enumerable.Range(1, 26).Select(number => writer.Write(_folder.Path, number)).ToList();
        Assert.Equal(26, folders.Distinct(StringComparer.Ordinal).Count());
        Assert.True(folders.Distinct(StringComparer.OrdinalIgnoreCase).Count() < 26);
        Assert.Contains(folders, folder => Path.GetFileName(folder).StartsWith("--", StringComparison.Ordinal));
        Assert.Contains(folders, folder => folder.Length > 200);
        Assert.Contains(folders, folder => folder.Contains('[', StringComparison.Ordinal));
        Assert.Contains(folders, folder => folder.Any(letter => letter > 0x2000));
        Assert.Contains(folders.SelectMany(Names), name => name.StartsWith('-'));
        Assert.Contains(folders.SelectMany(Names), name => name.Contains("e\u0301", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData(Breakage.MissingAnchor, 2)]
    [InlineData(Breakage.CutInHeader, 3)]
    [InlineData(Breakage.Unreadable, 3)]
    [InlineData(Breakage.Empty, 3)]
    [InlineData(Breakage.MixedRates, 2)]
    public void AnAnalysisOfABrokenSongIsRefusedOrFindsNoKick(Breakage breakage, int songs)
    {
        var writer = new SongWriter(Situation.LiveBand, seed: 1, seconds: 3, sampleRateHz: 24_000, isOdd: false);
        for (var number = 1; number < songs; number++)
        {
            var whole = CommandRun.Of("analyze", writer.Write(_folder["whole"], number));
            var broken = CommandRun.Of("analyze", writer.Write(_folder["broken"], number, breakage));
            Assert.Equal(0, whole.ExitCode);
            Assert.NotEqual((whole.ExitCode, whole.Out.Replace(_folder["whole"], "", StringComparison.Ordinal)), (broken.ExitCode, broken.Out.Replace(_folder["broken"], "", StringComparison.Ordinal)));
        }
    }

    public void Dispose() => _folder.Dispose();

    private static IReadOnlyList<string> Names(string folder) => [.. Directory.EnumerateFiles(folder).Select(file => Path.GetFileName(file)).Order(StringComparer.Ordinal)];

    private string Write(Situation situation, string folder, int number) => new SongWriter(situation, seed: 1, seconds: 0.5, sampleRateHz: 24_000, isOdd: false).Write(_folder[folder], number);
}
