using RenderGraph.Graph.Diagnostics;
using Xunit;

namespace RenderGraph.Graph.Tests.Diagnostics;

public class NearestNameTests
{
    private static readonly string[] Known = ["highPass", "highShelf", "lowPass", "lowShelf", "gain", "q", "mix"];

    [Theory]
    [InlineData("hihgPass", "highPass")]
    [InlineData("HIGHPASS", "highPass")]
    [InlineData("highpas", "highPass")]
    [InlineData("lowpasss", "lowPass")]
    [InlineData("gian", "gain")]
    [InlineData("mxi", "mix")]
    [InlineData("Q", "q")]
    public void FindsWhatWasMeantDespiteOneSlip(string written, string meant) => Assert.Equal(meant, NearestName.Of(written, Known));

    [Theory]
    [InlineData("reverberation")]
    [InlineData("")]
    [InlineData("z")]
    public void OffersNothingWhereNothingIsNear(string written) => Assert.Null(NearestName.Of(written, Known));

    [Theory]
    [InlineData("slope", "slopeDbPerOctave")]
    [InlineData("Threshold", "thresholdDbfs")]
    [InlineData("th", null)]
    public void FindsANameWhoseUnitWasForgotten(string written, string? meant) =>
        Assert.Equal(meant, NearestName.Of(written, ["slopeDbPerOctave", "thresholdDbfs", "thresholdDbfsOfTheSide"]));

    [Fact]
    public void TiesGoToTheFirstByName() => Assert.Equal("stem1", NearestName.Of("stem", ["stem3", "stem1", "stem2"]));

    [Fact]
    public void ASwapOfNeighboursIsOneChangeAndNotTwo() => Assert.Equal("abcd", NearestName.Of("abdc", ["axyc", "abcd"]));
}
