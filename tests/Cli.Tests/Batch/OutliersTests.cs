using RenderGraph.Cli.Batch;
using Xunit;

namespace RenderGraph.Cli.Tests.Batch;

public sealed class OutliersTests
{
    [Fact]
    public void ASongFarFromTheMedianIsNamedWithBothNumbers()
    {
        var found = Outliers.Of([Song("a", 50), Song("b", 51), Song("c", 52), Song("d", 53), Song("e", 98)]);
        var outlier = Assert.Single(found);
        Assert.Equal(("e", "frequencyHz", 98.0, 52.0, "its anchor sits at 98.0 Hz; the median of the set is 52.0 Hz"), (outlier.Song, outlier.Measure, outlier.Value, outlier.Median, outlier.Sentence));
    }

    [Fact]
    public void TwoOutliersDoNotHideEachOtherAsTheyWouldInAMean()
    {
        // Mean 62.7, standard deviation 25: neither is three of them away.
        Assert.Equal(["y", "z"], Outliers.Of([.. "abcde".Select((name, index) => Song(name.ToString(), 50 + index)), Song("y", 100), Song("z", 102)]).Select(outlier => outlier.Song));
    }

    [Fact]
    public void FewSongsAndSmallDistancesNameNobody()
    {
        Assert.Empty(Outliers.Of([Song("a", 50), Song("b", 51), Song("c", 52), Song("d", 200)]));

        // All alike but one, by less than three semitones: 52 to 61 Hz is 2.8.
        Assert.Empty(Outliers.Of([Song("a", 52), Song("b", 52), Song("c", 52), Song("d", 52), Song("e", 61)]));
        Assert.Single(Outliers.Of([Song("a", 52), Song("b", 52), Song("c", 52), Song("d", 52), Song("e", 62)]));
    }

    [Fact]
    public void BalanceAndClearanceCountToo()
    {
        var songs = Enumerable.Range(0, 6).Select(number => Song($"{number}", 52, clearanceDb: number, balanceDb: -10)).ToList();
        songs.Add(Song("low", 52, clearanceDb: -20, balanceDb: -3));
        Assert.Equal(["clearanceDb", "from20To30HzDb", "from30To60HzDb", "from60To120HzDb", "from120To300HzDb"], Outliers.Of(songs).Select(outlier => outlier.Measure));
    }

    [Fact]
    public void SongsWithoutANumberAreLeftOut()
    {
        Assert.Empty(Outliers.Of([Song("a", 50), Song("b", 51), Song("c", 52), Song("d", 98), Song("e", null), SongResult.Failed("f", SongState.Refused, [])]));
    }

    private static SongResult Song(string name, double? hertz, double? clearanceDb = null, double balanceDb = -10) => new(
        name, SongState.Done, null, null, new(10, hertz is null ? null : new("kick", hertz, false, 1, 4), clearanceDb, "mix", [balanceDb, balanceDb, balanceDb, balanceDb]), [], [], [], []);
}
