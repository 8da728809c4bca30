using System.Globalization;
using Xunit;

namespace RenderGraph.Cli.Tests;

public class CultureTests
{
    /// <summary><c>tests/Cultures/run.sh</c> says which it should be; without it there are none, as in the product.</summary>
    [Fact]
    public void TheTestsRunInTheCultureThatTheyAreMeantToRunIn()
    {
        var meant = Environment.GetEnvironmentVariable("RENDERGRAPH_CULTURE") ?? "";
        Assert.Equal(meant, CultureInfo.CurrentCulture.Name);
        Assert.Equal(meant is "de-DE" or "tr-TR" ? "1,5" : meant == "ar-SA" ? "1\u066b5" : "1.5", 1.5.ToString(CultureInfo.CurrentCulture).Replace('\u0661', '1').Replace('\u0665', '5'));
    }
}
