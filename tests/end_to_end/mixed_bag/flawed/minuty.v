module licznik_minut (input zegar, input zeruj, input zezwol, output reg [5:0] minuty, output przeniesienie);
  assign przeniesienie = (minuty == 59) & zezwol;
  always @(posedge zegar)
    if (zeruj) minuty <= 0;
    else if (zezwol) minuty <= (minuty == 58) ? 0 : minuty + 1;
endmodule
