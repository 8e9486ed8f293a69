import java.io.FileInputStream;
import java.io.InputStream;
import java.util.Set;
import java.util.TreeSet;
import org.verapdf.gf.foundry.VeraGreenfieldFoundryProvider;
import org.verapdf.pdfa.Foundries;
import org.verapdf.pdfa.PDFAParser;
import org.verapdf.pdfa.flavours.PDFAFlavour;
import org.verapdf.pdfa.results.TestAssertion;
import org.verapdf.pdfa.results.ValidationResult;

/** Says for each file whether it is PDF/A of the flavour named first, and which rules it breaks. */
public class CheckPdfA {
  public static void main(String[] arguments) throws Exception {
    VeraGreenfieldFoundryProvider.initialise();
    PDFAFlavour flavour = PDFAFlavour.fromString(arguments[0]);
    boolean all = true;
    for (int place = 1; place < arguments.length; place++) {
      all &= check(flavour, arguments[place]);
    }
    System.exit(all ? 0 : 1);
  }

  private static boolean check(PDFAFlavour flavour, String file) throws Exception {
    try (InputStream stream = new FileInputStream(file);
        PDFAParser parser = Foundries.defaultInstance().createParser(stream, flavour)) {
      ValidationResult result =
          Foundries.defaultInstance().createValidator(flavour, false).validate(parser);
      System.out.println((result.isCompliant() ? "PASS " : "FAIL ") + file);
      for (String rule : brokenRules(result)) {
        System.out.println("  " + rule);
      }
      return result.isCompliant();
    }
  }

  private static Set<String> brokenRules(ValidationResult result) {
    Set<String> rules = new TreeSet<>();
    for (TestAssertion assertion : result.getTestAssertions()) {
      if (assertion.getStatus() == TestAssertion.Status.FAILED) {
        rules.add(
            assertion.getRuleId().getClause()
                + "-" + assertion.getRuleId().getTestNumber()
                + " " + assertion.getMessage());
      }
    }
    return rules;
  }
}
