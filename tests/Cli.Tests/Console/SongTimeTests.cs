using System.Globalization;
using CsCheck;
using RenderGraph.Cli.Console;
using Xunit;

namespace RenderGraph.Cli.Tests.Console;

public class SongTimeTests
{
    [Theory]
    [InlineData("0", 0)]
    [InlineData("12", 12)]
    [InlineData("12.5", 12.5)]
    [InlineData("75", 75)]
    [InlineData("0:12.5", 12.5)]
    [InlineData("1:02", 62)]
    [InlineData("1:02.345", 62.345)]
    [InlineData("90:00", 5400)]
    public void ReadsSecondsAndMinutes(string text, double seconds) => Assert.Equal(seconds, SongTime.Parse(text));

    [Theory]
    [InlineData("")]
    [InlineData(" 1")]
    [InlineData("-1")]
    [InlineData("+1")]
    [InlineData("1,5")]
    [InlineData("1e3")]
    [InlineData(".5")]
    [InlineData("1:60")]
    [InlineData("1:-2")]
    [InlineData("1:2:3")]
    [InlineData(":5")]
    [InlineData("5:")]
    [InlineData("NaN")]
    [InlineData("Infinity")]
    [InlineData("99999999999999999999")]
    [InlineData("5s")]
    public void RefusesWhatIsNoTime(string text) => Assert.Null(SongTime.Parse(text));

    [Fact]
    public void ReadsWhatItWrites() =>
        Gen.Int[0, 36_000_000].Sample(milliseconds => Assert.Equal(milliseconds / 1000.0, SongTime.Parse(SongTime.Write(milliseconds / 1000.0))!.Value, precision: 9));

    [Theory]
    [InlineData(12.5, "0m12.5s")]
    [InlineData(0, "0m0s")]
    [InlineData(60, "1m0s")]
    [InlineData(59.9996, "1m0s")]
    [InlineData(61.25, "1m1.25s")]
    public void WritesAPartOfAFileName(double seconds, string text) => Assert.Equal(text, SongTime.WriteForFileName(seconds));

    [Theory]
    [InlineData(0, 120, "1.1.00")]
    [InlineData(1.999, 120, "2.1.00")]
    [InlineData(2.5, 96, "2.1.00")]
    [InlineData(4.0625, 96, "2.3.50")]
    [InlineData(0.25, 60, "1.1.25")]
    public void WritesBarsOfFourBeats(double seconds, double tempoBpm, string text) => Assert.Equal(text, SongTime.WriteBar(seconds, tempoBpm));

    [Fact]
    public void WritesAFullStopWhateverTheCulture()
    {
        var before = CultureInfo.CurrentCulture;
        try
        {
            CultureInfo.CurrentCulture = new CultureInfo("") { NumberFormat = { NumberDecimalSeparator = "," } };
            Assert.Equal("0m12.5s", SongTime.WriteForFileName(12.5));
            Assert.Equal("0:12.500", SongTime.Write(12.5));
            Assert.Equal(12.5, SongTime.Parse("12.5"));
        }
        finally
        {
            CultureInfo.CurrentCulture = before;
        }
    }
}
