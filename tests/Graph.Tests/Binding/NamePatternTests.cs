using RenderGraph.Graph.Binding;
using Xunit;

namespace RenderGraph.Graph.Tests.Binding;

/// <summary>Patterns are those of the shell (POSIX.1-2017, XCU 2.13, Pattern Matching Notation), without classes, and blind to letter case and to how accented letters are composed.</summary>
public sealed class NamePatternTests
{
    [Theory]
    [InlineData("kick", "kick", true)]
    [InlineData("kick", "kick in", false)]
    [InlineData("kick", "KICK", true)]
    [InlineData("*kick*", "01 Kick (in)", true)]
    [InlineData("*", "", true)]
    [InlineData("*", "anything at all", true)]
    [InlineData("?", "", false)]
    [InlineData("?ick", "Kick", true)]
    [InlineData("k*k*k", "kick kick", true)]
    [InlineData("k*k*x", "kick kick", false)]
    [InlineData("*a*b*c", "aXbXcXbc", true)]
    [InlineData("**kick", "kick", true)]
    [InlineData("take [0-9]", "take 7", true)]
    [InlineData("take [0-9]", "take x", false)]
    [InlineData("take [!0-9]", "take x", true)]
    [InlineData("take [!0-9]", "take 7", false)]
    [InlineData("[a-f]*", "Bass", true)]
    [InlineData("[A-F]*", "bass", true)]
    [InlineData("[abc-]x", "-x", true)]
    [InlineData("[]]x", "]x", true)]
    [InlineData("[!]]x", "]x", false)]
    [InlineData("[[]x]", "[x]", true)]
    [InlineData("x[*]", "x*", true)]
    [InlineData("x[*]", "xy", false)]
    [InlineData("x[?]", "x?", true)]
    [InlineData("take.1", "take.1", true)]
    [InlineData("-kick", "-Kick", true)]
    [InlineData("a+(b)", "a+(b)", true)]
    public void FitsAsInTheShell(string pattern, string name, bool fits) => Assert.Equal(fits, Read(pattern).Fits(name));

    [Fact]
    public void FitsWhatTwoOtherMatchersFit()
    {
        // tests/Reference/name-patterns.csv: its first line says which.
        var rows = File.ReadAllLines(Path.Combine(AppContext.BaseDirectory, "Reference", "name-patterns.csv")).Skip(1).Select(line => line.Split('\t')).ToList();
        Assert.Equal(400, rows.Count);
        Assert.All(rows, row => Assert.Equal(row[2] == "1", Read(row[0]).Fits(row[1])));
    }

    // The Unicode Standard's canonical equivalents; letters as macOS stores them in file names, and as other systems do.
    [Theory]
    [InlineData("caf\u00E9", "CAFE\u0301", true)]
    [InlineData("cafe\u0301", "Caf\u00C9", true)]
    [InlineData("cafe", "caf\u00E9", false)]
    [InlineData("caf?", "cafe\u0301", true)]
    [InlineData("caf??", "cafe\u0301", false)]
    [InlineData("caf[\u00E9\u00E8]", "cafe\u0301", true)]
    [InlineData("\u1EC7", "e\u0323\u0302", true)]
    [InlineData("\u1EC7", "e\u0302\u0323", true)]
    [InlineData("\u00C5", "\u212B", true)]
    [InlineData("\uD55C", "\u1112\u1161\u11AB", true)]
    [InlineData("\u304C", "\u304B\u3099", true)]
    [InlineData("\u03C3", "\u03A3", true)]
    [InlineData("?", "\U0001F941", true)]
    [InlineData("I", "i", true)]
    [InlineData("i", "\u0130", false)]
    public void ALetterIsOneLetterHoweverItIsComposed(string pattern, string name, bool fits) => Assert.Equal(fits, Read(pattern).Fits(name));

    [Theory]
    [InlineData("kick")]
    [InlineData("take [2]")]
    [InlineData("what?*")]
    [InlineData("!loud")]
    [InlineData("-[!a]")]
    public void OnePatternCanBeWrittenForAnyName(string name) => Assert.True(Read(NamePattern.Literal(name)).Fits(name));

    [Fact]
    public void ManyStarsTakeNoLongTime() => Assert.False(Read(string.Concat(Enumerable.Repeat("*a", 100)) + "b").Fits(new string('a', 255)));

    private static NamePattern Read(string written) => NamePattern.Read(written, default, (sentence, _) => Assert.Fail(sentence))!;
}
