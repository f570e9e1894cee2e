module updown_ctr #(parameter MODULUS = 20) (
  input i_clk, input i_rst, input i_en, input i_up_dn,
  output reg [4:0] o_cnt
);
  always @(posedge i_clk)
    if (i_rst) o_cnt <= 0;
    else if (i_en) begin
      if (i_up_dn) o_cnt <= (o_cnt == MODULUS-1) ? 0 : o_cnt + 1;
      else         o_cnt <= (o_cnt == 0) ? MODULUS : o_cnt - 1;
    end
endmodule
